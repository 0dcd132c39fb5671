#!/usr/bin/env bash
# Recognises every labelled recording with the general and with our own language model (that race's lines left out), and prints word error
# rate, F1 of calls with numbers and of all but spirit, misses of calls with numbers, and seconds of sound per second.
# Captions stay in the folder $1; those that are there already are scored again only. Needs Debian's pocketsphinx and pocketsphinx-en-us.
set -u
cd "$(dirname "$0")/../.."
out=${1:?folder for the captions}
mkdir -p "$out"
run="dotnet src/Stakeboat.Cli/bin/Release/net10.0/stakeboat.dll"
for folder in data/corpus/*/; do
    [ -f "$folder/recording.opus" ] || continue
    name=$(basename "$folder")
    for kind in general ours; do
        option=(--leave-out "$name"); [ $kind = general ] && option=(--general)
        captions="$out/$name.$kind.json"
        if [ ! -f "$captions" ]; then
            start=$(date +%s.%N)
            $run words "$folder" -o "$captions" --recogniser pocketsphinx "${option[@]}" >"$captions.log" || exit 1
            echo "$(echo "$(date +%s.%N) - $start" | bc)" >"$captions.seconds"
        fi
        scene=$(mktemp -d)
        cp "$folder/race.json" "$scene/"; cp "$captions" "$scene/words.json"
        $run calls "$scene" --jsonl >"$captions.calls"
        score=$(python3 data/corpus/score-calls.py "$captions.calls" "$folder/calls.jsonl" --json)
        rm -r "$scene"
        python3 - "$name" "$kind" "$(python3 oracles/words/wer.py "$captions" "$folder/calls.jsonl")" "$score" "$(cat "$captions.seconds" 2>/dev/null || echo nan)" <<'PY'
import json, sys
name, kind, wer, score, seconds = sys.argv[1:]
s = json.loads(score)
n, a = s["with numbers"], s["all but spirit"]
print(f"| {name} | {kind} | {wer.split()[0]} | {n['f1']:.2f} | {a['f1']:.2f} | {1 - n['recall']:.2f} | {float(seconds):.0f} |")
PY
    done
done
