/* Weighted edit likeness of two sound keys: the same arithmetic as sounds_alike in earlib.py. */
#include <string.h>
static int vowel(char c){return c=='a'||c=='e'||c=='i'||c=='o'||c=='u';}
static double del(char c){return vowel(c)?.4:(c=='h'||c=='w'||c=='r')?.5:.8;}
static const char*CLOSE="bpdtgkfvsSmnlrjCSCTtTfTdTskCwvwrgjbvsjdj";
static double sub(char x,char y){if(x==y)return 0;int a=vowel(x),b=vowel(y);if(a&&b)return .3;if(a||b)return 1.2;
 for(const char*p=CLOSE;*p;p+=2)if((p[0]==x&&p[1]==y)||(p[0]==y&&p[1]==x))return .45;return 1;}
double alike(const char*a,const char*b){double p[64],c[64],wa=0,wb=0;int n=strlen(a),m=strlen(b);if(m>62)m=62;
 for(int i=0;i<n;i++)wa+=del(a[i]);for(int j=0;j<m;j++)wb+=del(b[j]);double top=wa>wb?wa:wb,diff=wa>wb?wa-wb:wb-wa;
 if(top<=0||diff>.5*top)return 0;p[0]=0;for(int j=0;j<m;j++)p[j+1]=p[j]+del(b[j]);
 for(int i=0;i<n;i++){double d=del(a[i]);c[0]=p[0]+d;for(int j=0;j<m;j++){double v=p[j]+sub(a[i],b[j]),u=p[j+1]+d,w=c[j]+del(b[j]);if(u<v)v=u;if(w<v)v=w;c[j+1]=v;}
  memcpy(p,c,sizeof(double)*(m+1));}
 double r=1-p[m]/top;return r<0?0:r;}
/* Weighted phoneme distance of a query to every key; costs given as a table. Best k kept. */
void nearest(const unsigned char*q,int n,const unsigned char*keys,const int*len,int count,int stride,const float*subs,const float*dels,int np,float limit,int*best,float*cost,int k){
 for(int i=0;i<k;i++){best[i]=-1;cost[i]=1e9f;}
 float wq=0;for(int i=0;i<n;i++)wq+=dels[q[i]];
 for(int w=0;w<count;w++){int m=len[w];if(m>n+3||n>m+3)continue;const unsigned char*b=keys+(long)w*stride;float p[40],c[40];p[0]=0;
  for(int j=0;j<m;j++)p[j+1]=p[j]+dels[b[j]];
  float cut=limit<cost[k-1]?limit:cost[k-1];int dead=0;
  for(int i=0;i<n&&!dead;i++){float d=dels[q[i]];c[0]=p[0]+d;float lo=c[0];for(int j=0;j<m;j++){float v=p[j]+subs[q[i]*np+b[j]],u=p[j+1]+d,x=c[j]+dels[b[j]];if(u<v)v=u;if(x<v)v=x;c[j+1]=v;if(v<lo)lo=v;}
   memcpy(p,c,sizeof(float)*(m+1));if(lo>cut)dead=1;}
  if(dead)continue;float r=p[m];if(r<cut){int j=k-1;while(j>0&&cost[j-1]>r){cost[j]=cost[j-1];best[j]=best[j-1];j--;}cost[j]=r;best[j]=w;}}
}
