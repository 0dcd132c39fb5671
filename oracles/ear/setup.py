"""Makes the vocabulary and the pool of invented crew names with how they are heard."""
import os, pickle, random, collections, sys
from earlib import *
import augment, data, noise as noising, train
extra = collections.Counter()
b = data.bank(range(1, 13))
pickle.dump(b, open(os.path.join(train.WORK, "bank.pkl"), "wb"))
for x in b:
    for w, _ in x["said"] + x["heard"]: extra[w] += 1
for f in [f for g in data.FOLDS for f in g[1]]:
    for t in data.race(f)["tokens"]: extra[t[0]] += 1
words = [w for w, n in extra.items() if n >= 2 and not w[0].isdigit()]
if len(sys.argv) > 1:
    words += [w for w in open(sys.argv[1]).read().split() if w not in set(words)]
v = train.vocabulary(words)
pickle.dump(v, open(os.path.join(train.WORK, "vocab.pkl"), "wb"))
rng = random.Random(7)
if not os.path.exists(os.path.join(train.WORK, "names.pkl")):
    names = list({augment.invent(rng) for _ in range(2600)})
    gl = pickle.load(open(os.path.join(train.WORK, "glove.pkl"), "rb"))[0]
    n = noising.Noise(noising.Sounds(gl[:20000]), [])
    spoken = set(names) | {w for x in names for w in [x.split()[0] if x.split()[0].lower() not in GENERIC else x.split()[-1]] }
    n.learn_names(sorted(spoken))
    pickle.dump({"names": names, "heard": n.names}, open(os.path.join(train.WORK, "names.pkl"), "wb"))
print(len(v[1]))
