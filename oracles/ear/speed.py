"""The net's own time in the training framework, one thread: speed.py NET.pt. The words of the longest committed sample twice over (some 800, seven minutes' talk).
The library's: dotnet run -c Release --project bench/Stakeboat.Bench -- ear-time"""
import json, os, pickle, sys, time
import torch
torch.set_num_threads(1)
from earlib import *
import model, train

vocab, words, vec = pickle.load(open(os.path.join(train.WORK, "vocab.pkl"), "rb"))
net = model.Ear(vec); net.load_state_dict(torch.load(sys.argv[1])); net.eval()
s = max(json.load(open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "samples.json")))["samples"], key=lambda s: len(s["words"]))
s = {**s, **{k: s[k] * 2 for k in ("words", "breaks", "cues")}}
t = time.perf_counter()
x, ms = token_extras(s["words"], s["breaks"], s["cues"], s["crews"], s["us"], s["talkOf"], s["phase"], s["names"], s["seats"])
features = time.perf_counter() - t
w = s["words"]
given = torch.tensor([lookup(a, vocab) for a in w]), torch.tensor([char_ids(a) for a in w]), torch.tensor([number_features(a) for a in w], dtype=torch.float32)
x, order, n = torch.tensor(x, dtype=torch.float32).unsqueeze(0), torch.arange(len(w)).unsqueeze(0), torch.tensor([len(w)])
best = cpu = 1e9
with torch.no_grad():
    for _ in range(20):
        t, c = time.perf_counter(), time.process_time()
        net.encode(net.words(*given), order, x, n)
        best, cpu = min(best, time.perf_counter() - t), min(cpu, time.process_time() - c)
print(len(w), "words: features", f"{features * 1000:.0f} ms, net {best * 1000:.0f} ms ({cpu * 1000:.0f} ms of processor)", torch.__version__)
