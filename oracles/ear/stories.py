"""Talk in which a line hangs on those before it: bare numbers that carry a margin on, corrections, people named first and told later what to do, counts and
rates between them, lines cut or run together as captions do. stories.py COUNT SEED OUT.pkl"""
import os, pickle, random, sys
from earlib import *
import augment, generate as g, noise as noising, train

N = g.num
FILL = "okay|yes|good|and|now|right|so|nice|come on|boys|ladies|listen|hold it|keep going|stay with it|that's it|lovely|again|just like that|trust it|i can hear it|breathe|don't look|eyes in|patient|wait|calm|easy now|there|look at this|oh yes|brilliant|come on now|more|keep it there|that's working|this is good|feel that".split("|")


class Teller(g.Maker):
    def margin(self, kind, v, crew, first):
        """A claim of one kind with a value: (words, call), in full at first and ever shorter after."""
        r = self.r
        C = ("crew", crew, False, r.random() < .3)
        Cs = ("crew", crew, True, r.random() < .3)
        n = N(int(v)) if v == int(v) else None
        if kind in ("cox", "bow"):
            c = dict(our=kind, their=str(int(v)), seats=None, lengths=None, metres=None, openWater=False, side=None)
            who = ["i'm on", "i've got", "sitting on", "on", "i have", "i'm level with", "i see", "level with", "i'm at", "alongside", "i'm looking at"] if kind == "cox" else ["bow ball on", "our bow's on", "bow's at", "bow ball at", "our bow ball is on", "nose on"]
            seat = r.choice([n, n, n + " seat", n + " man", "number " + n])
            if first: w = r.choice(who).split() + (r.choice([[Cs], [Cs], ["their"], ["her"], []]) + seat.split() if r.random() < .8 else seat.split() + ["of", C])
            else: w = r.choice(["{n}", "{n}", "now {n}", "{n} now", "that's {n}", "on {n}", "and {n}", "their {n}", "i've got {n}", "{n} seat", "there's {n}", "here's {n}", "make it {n}", "to {n}", "onto {n}", "it's {n}", "got {n}", "that's their {n}", "no {n}", "sorry {n}", "there goes {n}", "{n} next to me", "say hello to {n}", "on to their {n}"]).format(n=seat).split()
        elif kind == "mirror":
            c = dict(our=str(int(v)), their=None, seats=None, lengths=None, metres=None, openWater=False, side=None, mirror=True)
            seat = r.choice([n, n, n + " seat", n + " man"])
            if first: w = r.choice([["they're", "on", "our"], [C, "on", "our"], [C, "is", "at", "our"], ["they're", "sitting", "on", "our"], [C, "has", "our"], [C, "level", "with", "our"], ["their", "cox", "is", "on", "our"], ["they're", "up", "to", "our"], ["they've", "got", "our"], [C, "beside", "our"], [C, "next", "to", "our"]]) + seat.split()
            else: w = r.choice(["{n}", "now {n}", "our {n}", "on our {n}", "back to our {n}", "that's our {n}", "and {n}", "down to {n}", "it's {n}", "they're on {n}", "only our {n}", "now on {n}", "slipped to {n}", "no {n}"]).format(n=seat).split()
        else:
            unit, side = kind
            text = g.N_TEXT(v, unit, r)
            c = dict(our="boat", their=None, seats=v if unit == "seats" else None, lengths=v if unit == "lengths" else None, metres=None, openWater=False, side=side)
            up = r.choice(["up", "ahead", "in front", "up on them", "to the good"]) if side == "ahead" else r.choice(["down", "behind", "back", "down on them"])
            opp = r.choice(["down", "behind", "back", "behind us"]) if side == "ahead" else r.choice(["up", "ahead", "in front", "up on us"])
            if side is None: w = (r.choice(["it's", "call it", "the gap's", "i make it", "there's", ""]) + " " + text).split() + r.choice([[], ["to", C], ["on", C], ["in", "it"], ["between", "us"]])
            elif not first: w = r.choice(["{x}", "{x}", "now {x}", "{x} now", "that's {x}", "it's {x}", "and {x}", "make it {x}", "call it {x}", "{x} {u}", "only {x}", "out to {x}" if side == "ahead" else "in to {x}", "sorry {x}", "no {x}", "{x} and moving"]).format(x=g.N_TEXT(v, unit, r, True), u=up).split()
            elif r.random() < .5: w = r.choice([["we're"], [], ["we", "are"], ["that's", "us"]]) + (text + " " + up.replace(" on them", "")).split() + r.choice([[], [], ["on", C]])
            else: w = r.choice([[C], [C], [C, "are"], [C, "is"], ["they're"], ["they", "are"]]) + (text + " " + opp).split()
        return w, dict(type="margin", crew=crew, **c)

    def stretch(self, crew):
        """A margin followed for some lines."""
        r = self.r
        kind = r.choice(["cox", "cox", "bow", "mirror", "mirror", ("seats", "ahead"), ("seats", "behind"), ("lengths", "ahead"), ("lengths", "behind"), ("seats", "ahead"), ("seats", "behind"), ("lengths", None)])
        if isinstance(kind, str): v, step = r.randint(1, 8), r.choice([1, 1, -1])
        elif kind[0] == "seats": v, step = r.choice([.5, 1, 1.5, 2, 3, 4, 5, 6]), r.choice([.5, 1, -.5, -1, 1, -1])
        else: v, step = r.choice([.25, .5, .75, 1, 1.25, 1.5, 2, 2.5]), r.choice([.25, -.25, .5, -.5])
        out = []
        for k in range(r.randint(2, 6)):
            out.append(self.margin(kind, v, crew, k == 0 or r.random() < .15))
            v += step * (1 if r.random() < .8 else 2)
            if isinstance(kind, str) and not 1 <= v <= 8 or not isinstance(kind, str) and not 0 < v < 9: break
        return out

    def people(self):
        """People named in one breath, told in the next."""
        r = self.r
        name, who = r.choice(g.WHO + g.WHO1)
        do, texts = r.choice([("touch", ["touch it", "a touch", "one stroke", "tap it", "take a stroke", "a tap please", "row it", "tap it round", "another one", "again", "two taps"]), ("back", ["back it", "back it down", "backing", "back please", "and back", "one back"]), ("holdWater", ["hold water", "hold it", "hold", "check it", "square and hold"]), ("sitReady", ["sit ready", "come forward", "get ready", "at the catch"]), ("stop", ["easy", "weigh enough", "drop out", "stop there", "out", "easy there"]), ("row", ["row", "ready row", "in", "join in", "off you go", "row on", "and you're on"]), ("pressure", ["light", "firm", "paddle light", "half pressure", "three quarters"]), ("drill", ["arms only", "half slide", "square blades", "feet out", "pause drill"])])
        person = r.choice(g.PEOPLE)
        forms = [[name.split(), ], [(name + " please").split()], [("just " + name).split()], [(name + " only").split()], [("listen " + name).split()], [name.split() + [person]], [[person] + name.split()]]
        out = [(r.choice(forms)[0], None)] if r.random() < .7 else [((name + " " + r.choice(texts)).split(), dict(type="command", do=do, who=who))]
        for k in range(r.randint(1, 2)):
            out.append(((r.choice(["", "", "and ", "now ", "ready "]) + r.choice(texts)).split(), dict(type="command", do=do, who=who)))
        return out

    def story(self, crews, talk, distance):
        r = self.r
        words, calls, cues, line = [], [], [], 0

        def say(w, cs):
            nonlocal line
            at = len(words)
            words.extend(w); cues.extend([line] * len(w))
            for t, c in cs: calls.append((at + t, c))
            if r.random() < .75: line += 1

        for _ in range(r.randint(1, 3)):
            u = r.random()
            if u < .6:
                talk = r.choice(crews)
                for w, c in self.stretch(talk):
                    if r.random() < .25: say(r.choice(FILL).split(), [])
                    say(w, [(len(w) - 1, c)])
                    if r.random() < .2:
                        o, cs, nm = self.line(crews, talk, distance)
                        if nm == talk: say(o, cs)
            elif u < .8:
                for w, c in self.people(): say(w, [(len(w) - 1, c)] if c else [])
            else:
                for _ in range(r.randint(1, 3)):
                    o, cs, talk = self.line(crews, talk, distance)
                    say(o, cs)
        return words, calls, cues, talk

    def sequence(self, noise, pool):
        r = self.r
        crews = r.sample(pool, r.choice([1, 2, 2, 3, 3, 4]))
        given = r.choice(crews + [None]) if r.random() < .5 else None
        distance = r.choice([None, None, 1000, 1500, 2000])
        w, c, cues, _ = self.story(crews, given, distance)
        if not w or len(w) > 120: return None
        phase = r.choice(["race", "race", "race", "practice", None])
        for _, x in c:
            if x.get("metres") == "HALF": x["metres"] = (distance or 2000) / 2
        names = [x.capitalize() for x in r.sample(g.PEOPLE, 8)] if r.random() < .3 else []
        return augment.render(w, c, crews, given, phase, noise, r, r.choice([0, .05, .1, .15, .2, .3]), rename=False, us=r.choice(pool) if r.random() < .3 else None, names=names, distance=distance)


if __name__ == "__main__":
    count, seed, out = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
    gl = pickle.load(open(os.path.join(train.WORK, "glove.pkl"), "rb"))[0]
    sounds = noising.Sounds(gl[:20000])
    cache = os.path.join(train.WORK, "near.pkl")
    if os.path.exists(cache): sounds.cache = pickle.load(open(cache, "rb"))
    nz = noising.Noise(sounds, [])
    pool = pickle.load(open(os.path.join(train.WORK, "names.pkl"), "rb"))
    nz.names = pool["heard"]
    tell = Teller(seed)
    seqs = [s for s in (tell.sequence(nz, pool["names"]) for _ in range(count)) if s]
    if out == "-":
        for s in seqs: print(" ".join(s["words"]), "|", [(s["words"][t], " ".join(f"{k}={v}" for k, v in c.items() if v is not None and v is not False)) for t, c in s["calls"]], s["crews"][:2])
    else: pickle.dump(seqs, open(out, "wb")); print(len(seqs))
