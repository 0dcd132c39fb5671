#!/usr/bin/env python3
"""Weighs the two ears on fold 3, which neither had seen: fuse.py, from the root, after leave-out.sh with --only bank --fold 3 --json."""
import json,math,importlib.util,collections
spec=importlib.util.spec_from_file_location("sc","data/corpus/score-calls.py"); sc=importlib.util.module_from_spec(spec); spec.loader.exec_module(sc)
C='data/corpus/phrases/voices-%d.jsonl'
ear=collections.defaultdict(list)
for l in open('oracles/ear/oof/lines.jsonl'):
    f,n,w,t,p,c=json.loads(l); ear[(f,n)].append((w,t,p,dict(c,type=t)))
mine=collections.defaultdict(list)
for l in open('oracles/calls/out/mine.jsonl'):
    r=json.loads(l); mine[(int(r['file'].split('-')[1]),r['line'])].append((r['word'],r['type'],r['confidence'],r))
def key(c): return tuple(str(c.get(f)) for f in sc.DECISIVE[c['type']] if f!='crew')
def run(comb):
    T=collections.Counter();P=collections.Counter();N=collections.Counter()
    for f in (10,11,12):
        for i,l in enumerate(open(C%f),1):
            r=json.loads(l); pred=comb(mine[(f,i)],ear[(f,i)]); used=set()
            for c in pred: P[c['type']]+=1
            for c in r['calls']:
                N[c['type']]+=1
                g=[k for k,p in enumerate(pred) if k not in used and p['type']==c['type'] and all(sc.equal(x,p.get(x),c) for x in sc.DECISIVE[c['type']])]
                if g: used.add(g[0]);T[c['type']]+=1
    def F(ts): t,p,n=(sum(x[k] for k in ts) for x in (T,P,N)); return round(2*t/(p+n),3)
    A=[k for k in sc.DECISIVE if k!='spirit']; return F(["margin","want","trend","rivalMove"]),F(sorted(sc.QUANTITATIVE)),F(A)
print('mine',run(lambda m,e:[x[3] for x in m]))
for t in (.3,.4,.5): print('ear',t,run(lambda m,e:[x[3] for x in e if x[2]>=t and x[1]!='spirit']))
for te in (.4,.5,.6,.7):
  for reach in (2,4,99):
    print('union',te,reach,run(lambda m,e:[x[3] for x in m]+[x[3] for x in e if x[2]>=te and x[1]!='spirit' and not any(abs(y[0]-x[0])<=reach and (y[1]==x[1] or reach<99 and abs(y[0]-x[0])<=1) for y in m)]))
L=lambda p:math.log(p/(1-p))
def fuse(a,b,c0,thr,d):
    def go(m,e):
        cand=[]; e=[x for x in e if x[1]!='spirit']; usede=set()
        for w,t,p,c in m:
            best=None
            for k,x in enumerate(e):
                if x[1]==t and abs(x[0]-w)<=2: best=k if best is None or x[2]>e[best][2] else best
            pe=max(.03,min(.97,e[best][2])) if best is not None else .03
            agree=best is not None and all(sc.equal(f,c.get(f),e[best][3]) for f in sc.DECISIVE[t] if f!='crew')
            if best is not None: usede.add(best)
            z=a*L(min(.97,p))+b*(L(pe) if best is None or agree else -0.5)+c0; cand.append((z,w,t,c))
            if best is not None and not agree: cand.append((d+b*L(pe),e[best][0],t,e[best][3]))
        for k,x in enumerate(e):
            if k not in usede: cand.append((b*L(max(.03,min(.97,x[2])))+d,x[0],x[1],x[3]))
        cand.sort(key=lambda x:-x[0]); out=[]
        for z,w,t,c in cand:
            if z<thr: continue
            if any(abs(w-o[0])<=(2 if t==o[1] else 0) and not(t=='count') for o in out): continue
            out.append((w,t,c))
        return [o[2] for o in out]
    return go
for a,b,c0,d in [(1,.5,1.0,0),(1,.5,1.0,-.3),(1,.3,.6,0),(1,.7,1.5,0),(1,.7,1.2,.2)]:
    for thr in (-.6,-.2): print('fuse',a,b,c0,d,thr,run(fuse(a,b,c0,thr,d)))
import numpy as np
def fuse2(m,e):
    a,b,c0,thr,d=1,.6,1.25,-.2,0
    cand=[]; e=[x for x in e if x[1]!='spirit']; usede=set()
    for w,t,p,c in m:
        best=None
        for k,x in enumerate(e):
            if x[1]==t and abs(x[0]-w)<=2: best=k if best is None or x[2]>e[best][2] else best
        pe=max(.03,min(.97,e[best][2])) if best is not None else .03
        agree=best is not None and all(sc.equal(f,c.get(f),e[best][3]) for f in sc.DECISIVE[t] if f!='crew')
        if best is not None: usede.add(best)
        cand.append((a*L(min(.97,p))+b*(L(pe) if best is None or agree else -.5/b)+c0 if False else L(min(.97,p))+b*(L(pe) if best is None or agree else -0.5)+c0,w,t,c))
        if best is not None and not agree: cand.append((b*L(max(.03,min(.97,e[best][2]))),e[best][0],t,e[best][3]))
    for k,x in enumerate(e):
        if k not in usede: cand.append((b*L(max(.03,min(.97,x[2]))),x[0],x[1],x[3]))
    cand.sort(key=lambda x:-x[0]); out=[]
    for z,w,t,c in cand:
        if z<thr or any(abs(w-o[0])<=(2 if t==o[1] else 0) and t!='count' for o in out): continue
        out.append((w,t,dict(c,z=z)))
    return [o[2] for o in out]
print('final',run(fuse2)); Z=[];Y=[]
for f in (10,11,12):
    for i,l in enumerate(open(C%f),1):
        r=json.loads(l); used=set(); pred=fuse2(mine[(f,i)],ear[(f,i)])
        for c in r['calls']:
            g=[k for k,p in enumerate(pred) if k not in used and p['type']==c['type'] and all(sc.equal(x,p.get(x),c) for x in sc.DECISIVE[c['type']])]
            if g: used.add(g[0])
        for k,p in enumerate(pred): Z.append(p['z']);Y.append(k in used)
Z=np.array(Z);Y=np.array(Y,float); w=np.zeros(2)
for _ in range(5000):
    p=1/(1+np.exp(-(w[0]+w[1]*Z))); w+=.5*np.array([(Y-p).mean(),((Y-p)*Z).mean()])
print(w); p=1/(1+np.exp(-(w[0]+w[1]*Z)))
for b in range(10):
    m=(p>=b/10)&(p<b/10+.1)
    if m.sum(): print(b/10,m.sum(),p[m].mean().round(3),Y[m].mean().round(3))
