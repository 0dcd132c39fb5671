#!/usr/bin/env bash
# Recognises every labelled recording with the general and with our own language model (that race's lines left out), and prints word error
# rate, F1 of calls with numbers and of all but spirit, misses of calls with numbers, and seconds of sound per second of one processor.
# The row "true words" is what a recogniser without any error would give: its misses are the call decoder's.
# Captions stay in the folder $1; those that are there already are scored again only. Needs Debian's pocketsphinx and pocketsphinx-en-us.
set -u
cd "$(dirname "$0")/../.."
out=${1:?folder for the captions}
mkdir -p "$out"
run="${STAKEBOAT:-dotnet src/Stakeboat.Cli/bin/Release/net10.0/stakeboat.dll}"
for folder in data/corpus/*/; do
    [ -f "$folder/recording.opus" ] || continue
    name=$(basename "$folder")
    python3 oracles/words/true_words.py "$folder/calls.jsonl" "$out/$name.true words.json"
    for kind in "true words" general ours; do
        option=(--leave-out "$name"); [ "$kind" = general ] && option=(--general)
        captions="$out/$name.$kind.json"
        if [ ! -f "$captions" ]; then
            TIMEFORMAT='%U %S'
            { time nice -n "${NICE:-0}" $run words "$folder" -o "$captions" --recogniser pocketsphinx "${option[@]}" >"$captions.log" 2>&1; } 2>"$captions.seconds" || exit 1
        fi
        scene=$(mktemp -d)
        cp "$folder/race.json" "$scene/"; cp "$captions" "$scene/words.json"
        $run calls "$scene" --jsonl >"$captions.calls"
        score=$(python3 data/corpus/score-calls.py "$captions.calls" "$folder/calls.jsonl" --json)
        rm -r "$scene"
        python3 - "$name" "$kind" "$(python3 oracles/words/wer.py "$captions" "$folder/calls.jsonl")" "$score" "$(cat "$captions.seconds" 2>/dev/null || echo nan)" "$(cat "$captions.log" 2>/dev/null)" <<'PY'
import json, re, sys
name, kind, wer, score, seconds, said = sys.argv[1:]
length = re.search(r"in (\d+) s, by", said)
used = sum(map(float, seconds.split()))
speed = f"{float(length[1]) / used:.1f}" if length else "-"
s = json.loads(score)
n, a = s["with numbers"], s["all but spirit"]
print(f"| {name} | {kind} | {wer.split()[0]} | {n['f1']:.2f} | {a['f1']:.2f} | {1 - n['recall']:.2f} | {speed} |")
PY
    done
done
