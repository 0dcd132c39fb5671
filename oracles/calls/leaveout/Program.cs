using System.Text.Json.Nodes; using System.Text.RegularExpressions; using System.Diagnostics;
using Stakeboat.Core.Calls; using Stakeboat.Core.Measurement; using Stakeboat.Core.Time; using Stakeboat.Core.Crews; using Stakeboat.Core.Boats; using Stakeboat.Core.Units; using Stakeboat.Exchange.Calls;
// eval [--show voices-3|folder] [--said] [--only bank|folders] [--all (model with everything)] 
string corpus = "data/corpus";
var A = args.ToList(); string? Opt(string n){int i=A.IndexOf(n); return i>=0&&i+1<A.Count?A[i+1]:null;}
string? show=Opt("--show"); bool said=A.Contains("--said"); string only=Opt("--only")??"both"; string? types=Opt("--types"); string? foldOnly=Opt("--fold"); int shown=0,maxShow=int.Parse(Opt("--max")??"60");
var folders = Directory.GetDirectories(corpus).Where(d=>File.Exists(d+"/calls.jsonl")).Select(Path.GetFileName).OrderBy(x=>x,StringComparer.Ordinal).ToList();
var bank=new Score(); var race=new Score(); var per=new SortedDictionary<string,Score>(); var calib=new List<(double p,bool ok,string type,int track)>();
if(A.Contains("--time")){ var d=new CallDecoder(); var (tr,sh,_)=Folder.Read(corpus+"/dual-8",false,false); d.Decode(tr!,sh); var w=Stopwatch.StartNew(); d.Decode(tr!,sh); Console.WriteLine($"seven-minute race {w.ElapsedMilliseconds} ms, {tr!.Cues.Count} cues"); var many=new List<CaptionCue>(); for(int r=0;r<12;r++)foreach(var c in tr.Cues)many.Add(new CaptionCue(Instant<RecordingClock>.FromSeconds(c.Start.Seconds+r*480),Instant<RecordingClock>.FromSeconds(c.End.Seconds+r*480),c.Text,[])); w.Restart(); d.Decode(new CaptionTrack("m",CaptionTiming.Cues,many),sh); Console.WriteLine($"ninety minutes {w.ElapsedMilliseconds} ms"); return; }
var sw=Stopwatch.StartNew(); long words=0;
List<Stakeboat.Core.Calls.Learned.CallToken> Tok(string text){var q=new List<Stakeboat.Core.Calls.Learned.CallToken>(); Stakeboat.Core.Calls.Words.Tokenizer.Append(text,0,q); return q;}
object gate=new(); var cause=new SortedDictionary<string,int>();
Parallel.For(0,4,new ParallelOptions{MaxDegreeOfParallelism=2},k=>{
 if(foldOnly!=null&&foldOnly!=k.ToString())return;
 using var r=new StreamReader(A.Contains("--all")?"src/Stakeboat.Core/Calls/Data/speech.txt":$"oracles/calls/out/speech-{k}.txt");
 var dec=new CallDecoder(new CallModels(r,new StreamReader("src/Stakeboat.Core/Calls/Data/grammar.txt"),File.Exists($"oracles/calls/out/weights-{k}.txt")?new StreamReader(A.Contains("--all")?"src/Stakeboat.Core/Calls/Data/weights.txt":$"oracles/calls/out/weights-{k}.txt"):null,!A.Contains("--hand"),!A.Contains("--all")&&File.Exists($"oracles/calls/out/second-{k}.txt")?new StreamReader($"oracles/calls/out/second-{k}.txt"):null,A.Contains("--once"))){Eagerness=double.Parse(Opt("--eager")??"0.7"),PathWeight=double.Parse(Opt("--path")??"0.25"),Learned=A.Contains("--both")?(Opt("--ears") is {} ears?Stakeboat.Core.Calls.Learned.LearnedEar.With(File.ReadAllBytes($"{ears}/fold{k}.weights")):Stakeboat.Core.Calls.Learned.LearnedEar.Default):null,RawScores=A.Contains("--raw"),LanguageWeight=double.Parse(Opt("--lw")??"0.8"),Least=double.Parse(Opt("--least")??"0.02"),Slope=double.Parse(Opt("--slope")??"4"),Offset=double.Parse(Opt("--offset")??"-3.2")};
 if(Opt("--pairs") is {} pairs){ lock(gate){ Pairs.Do(k,dec,corpus,folders!,pairs); } return; }
 if(A.Contains("--dump")){ Dump.Do(k,dec,corpus,folders!,Opt("--dump")=="2",Opt("--out")??"oracles/calls/out"); return; }
 if(only!="folders") for(int v=3*k+1;v<=3*k+3;v++){
  var rows=File.ReadLines($"{corpus}/phrases/voices-{v}.jsonl").Select(l=>JsonNode.Parse(l)!).ToList();
  var lines=rows.Select(n=>new PhraseLine((string)n[said?"said":"heard"]!,n["crews"]!.AsArray().Select(x=>(string)x!).ToList(),(string?)n["talkOf"],(string?)n["phase"],n["run"]?.ToString())).ToList();
  var got=dec.DecodeLines(lines);
  if(A.Contains("--json")) File.AppendAllLines("oracles/calls/out/mine.jsonl",got.Select(g=>{var o=JsonNode.Parse(System.Text.Json.JsonSerializer.Serialize(CallParts.From(g.Call),new System.Text.Json.JsonSerializerOptions{PropertyNamingPolicy=System.Text.Json.JsonNamingPolicy.CamelCase}))!.AsObject(); o["file"]=$"voices-{v}";o["line"]=g.Line+1;o["word"]=g.Word;o["confidence"]=g.Confidence;return o.ToJsonString();}));
  lock(gate){ var s=new Score(); var by=got.ToLookup(g=>g.Line);
  for(int i=0;i<rows.Count;i++){
    var pred=by[i].Where(g=>g.Call is not SpiritCall).ToList(); var used=new HashSet<int>(); var miss=new List<JsonNode>(); var ok=new bool[pred.Count]; List<Call>? offered=null;
    var pn=pred.Select(p=>CallParts.From(p.Call)).Select(p=>JsonNode.Parse(System.Text.Json.JsonSerializer.Serialize(p))!).ToList();
    foreach(var c in rows[i]["calls"]!.AsArray()){ string t=(string)c!["type"]!; if(t=="spirit")continue; s.N(t);bank.N(t);
      int j=Enumerable.Range(0,pred.Count).FirstOrDefault(j=>!used.Contains(j)&&Sc.Type(pred[j].Call)==t&&Sc.Right(pred[j].Call,c!,t),-1);
      if(j>=0){used.Add(j);ok[j]=true;s.T(t);bank.T(t);} else {miss.Add(c!); var same=pred.Where((p,q)=>!used.Contains(q)&&Sc.Type(p.Call)==t).ToList(); string why; if(same.Count==0) { offered??=dec.Propose([lines[i]],false).Select(o=>o.Call).ToList(); var u0=JsonNode.Parse(c!.ToJsonString())!.AsObject(); u0.Remove("crew"); why=offered.Any(o=>Sc.Type(o)==t&&Sc.Right(o,u0,t))?"passed over":offered.Any(o=>Sc.Type(o)==t)?"offered otherwise":"never offered"; } else { var u=JsonNode.Parse(c!.ToJsonString())!.AsObject(); u.Remove("crew"); if(same.Any(p=>Sc.Right(p.Call,u,t))) why="crew"; else { u.Remove("side"); if(same.Any(p=>Sc.Right(p.Call,u,t)))why="side"; else {u=JsonNode.Parse(c!.ToJsonString())!.AsObject(); u.Remove("who"); why=same.Any(p=>Sc.Right(p.Call,u,t))?"who":"other";} } } cause[t+" "+why]=cause.GetValueOrDefault(t+" "+why)+1; }}
    for(int j=0;j<pred.Count;j++){string t=Sc.Type(pred[j].Call);s.P(t);bank.P(t);calib.Add((pred[j].Confidence,ok[j],t,0));}
    if(show==$"voices-{v}"&&(miss.Count>0||ok.Contains(false))&&shown<maxShow&&(types==null||miss.Any(m=>types.Contains((string)m["type"]!))||pred.Where((p,j)=>!ok[j]).Any(p=>types.Contains(Sc.Type(p.Call))))){shown++;
      Console.WriteLine($"#{i+1} SAID {rows[i]["said"]}\n   HEARD {rows[i]["heard"]}  [{rows[i]["talkOf"]}|{rows[i]["phase"]}|{string.Join(',',lines[i].Crews)}]");
      foreach(var m in miss)Console.WriteLine("   MISS "+Sc.Short(m)); for(int j=0;j<pred.Count;j++)if(!ok[j])Console.WriteLine($"   FALSE {pred[j].Call} <{pred[j].Words}> {pred[j].Confidence:0.00}");}
  } per[$"voices-{v:00}"]=s; }
 }
 if(only!="bank") for(int f=2*k;f<2*k+2&&f<folders.Count;f++){
  string name=folders[f]!; var (track,sheet,starts)=Folder.Read(corpus+"/"+name, A.Contains("--rec"), A.Contains("--words")); if(track==null)continue;
  var got=dec.Decode(track,sheet).Calls.Where(c=>c.Call is not SpiritCall).ToList();
  var truth=File.ReadLines($"{corpus}/{name}/calls.jsonl").Select(l=>JsonNode.Parse(l)!).Where(c=>(string)c["type"]!="spirit").ToList();
  lock(gate){ var s=new Score(); var used=new HashSet<int>(); var ok=new bool[got.Count]; var miss=new List<JsonNode>();
   bool Near(double p,double t)=>Math.Abs(p-t)<=3||(starts!=null&&Folder.Block(p,starts)==Folder.Block(t,starts));
   foreach(var c in truth){string t=(string)c["type"]!; double ct=(double)c["t"]!; s.N(t);race.N(t);
     int best=-1;double bd=1e9;for(int j=0;j<got.Count;j++){double p=got[j].At.Seconds;if(used.Contains(j)||Sc.Type(got[j].Call)!=t||!Near(p,ct)||!Sc.Right(got[j].Call,c,t))continue;if(Math.Abs(p-ct)<bd){bd=Math.Abs(p-ct);best=j;}}
     if(best>=0){used.Add(best);ok[best]=true;s.T(t);race.T(t);}else miss.Add(c);}
   for(int j=0;j<got.Count;j++){string t=Sc.Type(got[j].Call);s.P(t);race.P(t);calib.Add((got[j].Confidence,ok[j],t,1));}
   per[name]=s;
   if(show==name){foreach(var x in miss.Select(m=>((double)m["t"]!,"MISS "+Sc.Short(m)+"  | "+m["text"])).Concat(got.Where((g,j)=>!ok[j]).Select(g=>(g.At.Seconds,$"FALSE {g.Call} <{g.Words}> {g.Confidence:0.00}"))).Where(x=>types==null||types.Split(',').Any(t=>x.Item2.Contains(t,StringComparison.OrdinalIgnoreCase))).OrderBy(x=>x.Item1))Console.WriteLine($"{x.Item1,7:0.0} {x.Item2}");}
  }
 }
});
foreach(var (n,s) in per)Console.WriteLine($"{n,-20} pos {s.F(Sc.Pos):0.000}  num {s.F(Sc.Num):0.000}  all {s.F(null):0.000}");
if(only!="folders"){Console.WriteLine("BANK");bank.Table();} if(only!="bank"){Console.WriteLine("RACES");race.Table();}
Console.WriteLine(string.Join("; ",cause.Select(c=>c.Key+" "+c.Value))); if(A.Contains("--raw"))File.WriteAllLines("oracles/calls/out/raw.tsv",calib.Select(c=>$"{c.p}\t{(c.ok?1:0)}\t{c.type}\t{c.track}")); Console.WriteLine("calibration: "+string.Join("  ",Enumerable.Range(0,10).Select(b=>{var x=calib.Where(c=>(int)Math.Min(9,c.p*10)==b).ToList();return x.Count==0?"-":$"{b/10.0:0.0}:{x.Count(c=>c.ok)/(double)x.Count:0.00}({x.Count})";}))); Console.WriteLine($"{sw.Elapsed.TotalSeconds:0.0}s");
class Score{public Dictionary<string,int> n=new(),p=new(),t=new(); public void N(string k)=>n[k]=n.GetValueOrDefault(k)+1; public void P(string k)=>p[k]=p.GetValueOrDefault(k)+1; public void T(string k)=>t[k]=t.GetValueOrDefault(k)+1;
 public double F(HashSet<string>? s){double a=0,b=0,c=0;foreach(var k in n.Keys.Union(p.Keys))if(s==null||s.Contains(k)){a+=n.GetValueOrDefault(k);b+=p.GetValueOrDefault(k);c+=t.GetValueOrDefault(k);}return a+b==0?0:2*c/(a+b);}
 public void Table(){foreach(var k in n.Keys.Union(p.Keys).OrderBy(x=>x))Row(k,new HashSet<string>{k});Row("POSITION",Sc.Pos);Row("NUMBERS",Sc.Num);Row("ALL",null);}
 void Row(string name,HashSet<string>? s){double a=0,b=0,c=0;foreach(var k in n.Keys.Union(p.Keys))if(s==null||s.Contains(k)){a+=n.GetValueOrDefault(k);b+=p.GetValueOrDefault(k);c+=t.GetValueOrDefault(k);}Console.WriteLine($"  {name,-12}{a,6}{b,6}  P {c/Math.Max(1,b):0.000} R {c/Math.Max(1,a):0.000} F {2*c/Math.Max(1,a+b):0.000}");}}
static class Sc{
 public static HashSet<string> Pos=new(){"margin","want","trend","rivalMove"},Num=new(){"rate","rateChange","pace","distance","time","strokesTo","count","margin","trend"};
 public static string Type(Call c)=>c switch{RateCall=>"rate",RateChangeCall=>"rateChange",PaceCall=>"pace",DistanceCall=>"distance",TimeCall=>"time",StrokesToCall=>"strokesTo",CountCall=>"count",MarginCall=>"margin",WantCall=>"want",TrendCall=>"trend",RivalMoveCall=>"rivalMove",MoveCall=>"move",ShiftCall=>"shift",CommandCall=>"command",SteerCall=>"steer",TechniqueCall=>"technique",ConditionsCall=>"conditions",_=>"spirit"};
 static bool D(double? a,JsonNode? b,double tol){if(b is null)return true; if(a is null)return false; return Math.Abs(a.Value-(double)b)<=tol;}
 static bool S(object? a,JsonNode? b){if(b is null)return true;return a!=null&&string.Equals(a.ToString()!.Trim(),b.ToString().Trim(),StringComparison.OrdinalIgnoreCase);}
 public static bool Right(Call c,JsonNode t,string type)=>c switch{
  RateCall r=>D(r.Spm,t["spm"],.5),RateChangeCall r=>D(r.By,t["by"],1e-6),PaceCall p=>D(p.SecPer500,t["secPer500"],.5),DistanceCall d=>D(d.Metres,t["metres"],.3)&&S(d.Sense,t["sense"]),
  TimeCall x=>D(x.Seconds,t["seconds"],1e-6),StrokesToCall s=>D(s.Strokes,t["strokes"],1e-6),CountCall n=>D(n.N,t["n"],1e-6),
  MarginCall m=>S(m.Crew,t["crew"])&&((t["their"] is null&&t["mirror"] is null)||S(m.Our,t["our"]))&&S(m.Their,t["their"])&&D(m.Seats,t["seats"],.26)&&D(m.Lengths,t["lengths"],.13)&&D(m.Metres,t["metres"],.3)&&m.OpenWater==(t["openWater"] is {} o&&(bool)o)&&S(m.Side,t["side"]),
  WantCall w=>S(w.Crew,t["crew"]),TrendCall r=>S(r.Crew,t["crew"])&&S(r.Who,t["who"]),RivalMoveCall r=>S(r.Crew,t["crew"]),MoveCall m=>D(m.Strokes,t["strokes"],1e-6),ShiftCall s=>S(s.To,t["to"]),CommandCall o=>S(o.Do,t["do"])&&S(o.Who,t["who"]),SteerCall s=>S(s.Side,t["side"]),TechniqueCall q=>S(q.Topic,t["topic"]),ConditionsCall q=>S(q.What,t["what"]),_=>true};
 public static string Short(JsonNode c)=>string.Join(' ',c.AsObject().Where(k=>k.Value!=null&&k.Key is not("text" or "openWater")||(k.Key=="openWater"&&(bool)k.Value!)).Select(k=>k.Key=="type"?k.Value!.ToString():$"{k.Key}={k.Value}"));
}
static class Folder{
 public static int Block(double t,List<double> s){int i=-1;for(int k=0;k<s.Count;k++)if(s[k]<=t+.5)i=k;return i;}
 static Instant<RecordingClock> I(double s)=>Instant<RecordingClock>.FromSeconds(s);
 public static (CaptionTrack?,RaceSheet,List<double>?) Read(string dir,bool rec,bool wordTimes){
  var j=JsonNode.Parse(File.ReadAllText(dir+"/race.json"))!; var boat=BoatClass.Find((string)j["boat"]!)??BoatClass.Eight; var us=(string)j["us"]!;
  var names=j["crewWords"]?["names"]?.AsArray().Select(x=>(string)x!).ToList()??new(); var cw=j["crewWords"]?["words"]?.AsArray().Select(x=>((string)x!).Split(" = ")).Select(p=>new CrewWord(p[0],p[^1])).ToList()??new();
  var lanes=j["lanes"]!.AsObject().ToDictionary(k=>int.Parse(k.Key),k=>(string)k.Value!); var riv=lanes.Values.Where(x=>x!=us).Concat(j["crews"]?.AsArray().Select(x=>(string)x!)??[]).Distinct().ToList();
  var sheet=new RaceSheet(new Crew(us,boat,new Dictionary<int,Person>(),names,cw),boat.Geometry,j["distance"] is {} d?Distance.FromMetres((double)d):null,lanes,riv,Distance.FromMetres(13.5),null);
  var cues=new List<CaptionCue>(); List<double>? starts=null; string? file=rec?(File.Exists(dir+"/recogniser.srt")?dir+"/recogniser.srt":null):new[]{"captions.vtt","captions.srt","captions.txt"}.Select(x=>dir+"/"+x).First(File.Exists);
  if(file==null)return(null,sheet,null);
  if(file.EndsWith(".txt")){starts=new();var l=new List<(double,string)>();foreach(var line in File.ReadLines(file)){var m=Regex.Match(line,@"^\[(?:(\d+):)?(\d+):(\d+)\]\s*(.*)");if(m.Success){double s=(m.Groups[1].Success?int.Parse(m.Groups[1].Value)*3600:0)+int.Parse(m.Groups[2].Value)*60+int.Parse(m.Groups[3].Value);l.Add((s,m.Groups[4].Value));starts.Add(s);}}
   for(int i=0;i<l.Count;i++)cues.Add(new(I(l[i].Item1),I(i+1<l.Count?l[i+1].Item1:l[i].Item1+20),l[i].Item2,[])); return(new CaptionTrack("c",CaptionTiming.Blocks,cues),sheet,starts);}
  double T(string s){var p=s.Replace(',','.').Split(':');double v=0;foreach(var x in p)v=v*60+double.Parse(x);return v;}
  CaptionCue? cur=null;double a=0,b=0;var txt=new List<string>();void Flush(){if(txt.Count>0)cues.Add(new(I(a),I(b),string.Join(' ',txt),[]));txt.Clear();}
  foreach(var line in File.ReadLines(file)){var m=Regex.Match(line,@"^([\d:.,]+) --> ([\d:.,]+)");if(m.Success){Flush();a=T(m.Groups[1].Value);b=T(m.Groups[2].Value);}else if(line.Length>0&&!Regex.IsMatch(line,@"^\d+$|^WEBVTT")||(line.Length>0&&b>a&&Regex.IsMatch(line,@"^\d+$")&&txt.Count==0&&cues.Count>=0&&prev!.Contains("-->")))txt.Add(line);prev=line;}
  Flush(); return(new CaptionTrack("c",CaptionTiming.Cues,cues),sheet,null);}
 static string? prev="";
}

static class Dump{
 public static void Do(int k,CallDecoder dec,string corpus,List<string> folders,bool second,string dir){
  using var o=new StreamWriter($"{dir}/dump{(second?2:1)}-{k}.tsv"); using var tr=new StreamWriter($"{dir}/truth-{k}.tsv");
  void Row(int ok,string src,int f,int e,Call call,double z,IReadOnlyList<string> ev){ o.Write(ok); o.Write('\t'); o.Write(src); o.Write('\t'); o.Write(f); o.Write('\t'); o.Write(e); o.Write('\t'); o.Write(Sc.Type(call)); o.Write('\t'); o.Write(call.ToString()); o.Write('\t'); o.Write(z.ToString("0.00")); foreach(var x in ev){o.Write('\t');o.Write(x);} o.Write('\n'); }
  for(int v=3*k+1;v<=3*k+3;v++){ 
   var rows=File.ReadLines($"{corpus}/phrases/voices-{v}.jsonl").Select(l=>JsonNode.Parse(l)!).ToList();
   var lines=rows.Select(n=>new PhraseLine((string)n["heard"]!,n["crews"]!.AsArray().Select(x=>(string)x!).ToList(),(string?)n["talkOf"],(string?)n["phase"],n["run"]?.ToString())).ToList();
   var truth=new List<(JsonNode c,double beg,double end)>[rows.Count];
   for(int i=0;i<rows.Count;i++){ var n=rows[i]; var tokens=new List<Stakeboat.Core.Calls.Learned.CallToken>(); Stakeboat.Core.Calls.Words.Tokenizer.Append((string)n["heard"]!,0,tokens);
    var saidW=new List<Stakeboat.Core.Calls.Learned.CallToken>(); Stakeboat.Core.Calls.Words.Tokenizer.Append((string)n["said"]!,0,saidW); string sj=" "+string.Join(' ',saidW.Select(x=>x.Text))+" ";
    var map=Align.Map(saidW.Select(x=>x.Text).ToList(),tokens.Select(x=>x.Text).ToList());
    truth[i]=n["calls"]!.AsArray().Select(c=>{ var aw=new List<Stakeboat.Core.Calls.Learned.CallToken>(); Stakeboat.Core.Calls.Words.Tokenizer.Append((string?)c!["at"]??"",0,aw); string a=" "+string.Join(' ',aw.Select(x=>x.Text))+" "; int q=sj.IndexOf(a,StringComparison.Ordinal); if(q<0)return (c!,-99.0,-99.0); int e=sj[..(q+a.Length-1)].Count(ch=>ch==' ')-1; int bgn=e-aw.Count+1; return (c!,(double)map[bgn].Item1,(double)map[e].Item2);}).ToList();
    tr.WriteLine($"b{v}:{i+1}\t"+string.Join('\t',truth[i].Select(t=>(string)t.c["type"]!))); }
   foreach(var (i,f,e,call,z,ev,nu) in dec.Propose(lines,second)){
     int ok=truth[i].FindIndex(t=>(string?)t.c["type"]==Sc.Type(call)&&(t.end<-50||(e>=t.beg-3.5&&e<=t.end+4.5))&&RightNoCrew(call,t.c))+1;
     Row(ok,$"b{v}:{i+1}",f,e,call,z,second?nu.Select(v=>v.ToString("0.###")).ToList():ev); } }
  foreach(var name in folders.Skip(2*k).Take(2)){ var (track,sheet,starts)=Folder.Read(corpus+"/"+name,false,false);
   var truth=File.ReadLines($"{corpus}/{name}/calls.jsonl").Select(l=>JsonNode.Parse(l)!).ToList();
   if(starts!=null)continue; bool Near(double p,double t)=>Math.Abs(p-t)<=2.5;
   tr.WriteLine($"f{name}\t"+string.Join('\t',truth.Select(t=>(string)t["type"]!)));
   foreach(var (t,f,e,call,z,ev,nu) in dec.ProposeTrack(track!,sheet,second)){ int ok=0; double d=9; for(int q=0;q<truth.Count;q++)if((string?)truth[q]["type"]==Sc.Type(call)&&Near(t,(double)truth[q]["t"]!)&&RightNoCrew(call,truth[q])&&Math.Abs(t-(double)truth[q]["t"]!)<d){d=Math.Abs(t-(double)truth[q]["t"]!);ok=q+1;}
     Row(ok,"f"+name,f,e,call,z,second?nu.Select(v=>v.ToString("0.###")).ToList():ev); } }
 }
 static bool RightNoCrew(Call c,JsonNode t){ var u=JsonNode.Parse(t.ToJsonString())!.AsObject(); string? named=c switch{MarginCall m=>m.Crew,WantCall w=>w.Crew,TrendCall r=>r.Crew,RivalMoveCall r=>r.Crew,_=>null}; if(named==null)u.Remove("crew"); return Sc.Right(c,u,(string)t["type"]!); }
}

static class Align{
 static double Sim(string a,string b){ if(a==b)return 0; int n=a.Length,m=b.Length; var d=new int[n+1,m+1]; for(int i=0;i<=n;i++)d[i,0]=i; for(int j=0;j<=m;j++)d[0,j]=j; for(int i=1;i<=n;i++)for(int j=1;j<=m;j++)d[i,j]=Math.Min(Math.Min(d[i-1,j]+1,d[i,j-1]+1),d[i-1,j-1]+(a[i-1]==b[j-1]?0:1)); return .2+.8*d[n,m]/Math.Max(n,m); }
 public static (int,int)[] Map(List<string> s,List<string> h){ int n=s.Count,m=h.Count; var d=new double[n+1,m+1]; var bt=new int[n+1,m+1]; for(int i=0;i<=n;i++)for(int j=0;j<=m;j++){ if(i==0&&j==0)continue; d[i,j]=1e9; if(i>0&&j>0){var c=d[i-1,j-1]+Sim(s[i-1],h[j-1]); if(c<d[i,j]){d[i,j]=c;bt[i,j]=0;}} if(i>0){var c=d[i-1,j]+.7; if(c<d[i,j]){d[i,j]=c;bt[i,j]=1;}} if(j>0){var c=d[i,j-1]+.7; if(c<d[i,j]){d[i,j]=c;bt[i,j]=2;}} }
  var r=new (int,int)[n]; int x=n,y=m; while(x>0||y>0){ if(x>0&&y>0&&bt[x,y]==0){r[x-1]=(y-1,y-1);x--;y--;} else if(x>0&&(y==0||bt[x,y]==1)){r[x-1]=(Math.Max(0,y-1),Math.Max(0,y-1));x--;} else y--; } return r; }
}

// What each ear proposes before the two are weighed, for oracles/ear/fuse.py: --both --ears DIR --pairs FILE.
static class Pairs{
 public static void Do(int k,CallDecoder dec,string corpus,List<string> folders,string file){
  using var o=new StreamWriter(file,true); var camel=new System.Text.Json.JsonSerializerOptions{PropertyNamingPolicy=System.Text.Json.JsonNamingPolicy.CamelCase,DefaultIgnoreCondition=System.Text.Json.Serialization.JsonIgnoreCondition.WhenWritingNull};
  void Row(string source,int? line,int word,double? t,string ear,double p,Call call){ var j=JsonNode.Parse(System.Text.Json.JsonSerializer.Serialize(CallParts.From(call),camel))!.AsObject(); j["source"]=source; if(line!=null)j["line"]=line; j["word"]=word; j["t"]=t; j["ear"]=ear; j["p"]=p; o.WriteLine(j.ToJsonString()); }
  for(int v=3*k+1;v<=3*k+3;v++){
   var lines=File.ReadLines($"{corpus}/phrases/voices-{v}.jsonl").Select(l=>JsonNode.Parse(l)!).Select(n=>new PhraseLine((string)n["heard"]!,n["crews"]!.AsArray().Select(x=>(string)x!).ToList(),(string?)n["talkOf"],(string?)n["phase"],n["run"]?.ToString())).ToList();
   var some=new Queue<int>(Enumerable.Range(0,lines.Count).Where(i=>{var q=new List<Stakeboat.Core.Calls.Learned.CallToken>(); Stakeboat.Core.Calls.Words.Tokenizer.Append(lines[i].Heard,0,q); return q.Count>0;}));
   dec.Overheard=(tokens,written,learned)=>{ int i=some.Dequeue(); foreach(var r in written)Row($"voices-{v}",i+1,r.LastToken,null,"written",r.Probability,r.Call); foreach(var c in learned)Row($"voices-{v}",i+1,c.Token,null,"learned",c.Probability,c.Call); };
   dec.DecodeLines(lines);
  }
  foreach(var name in folders.Skip(2*k).Take(2))foreach(var rec in new[]{false,true}){ var (track,sheet,starts)=Folder.Read(corpus+"/"+name,rec,false); if(track==null)continue;
   var spoken=TrackReader.Words(track,Stakeboat.Core.Calls.Context.SettingAside.Find(track,dec.Models).Select(a=>a.CueIndex).ToHashSet()); int at=0; string source=name+(rec?" recogniser":" captions");
   dec.Overheard=(tokens,written,learned)=>{ foreach(var r in written)Row(source,null,at+r.LastToken,spoken.To[at+r.LastToken],"written",r.Probability,r.Call); foreach(var c in learned)Row(source,null,at+c.Token,spoken.To[at+c.Token],"learned",c.Probability,c.Call); at+=tokens.Count; };
   dec.Decode(track,sheet);
  }
  dec.Overheard=null;
 }
}
