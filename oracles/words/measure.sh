#!/usr/bin/env bash
# Recognises every labelled recording with the general and with our own language model (that race's lines left out), and writes the
# captions to $1. Needs Debian's pocketsphinx and pocketsphinx-en-us.
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
        start=$(date +%s.%N)
        $run words "$folder" -o "$out/$name.$kind.json" --recogniser pocketsphinx "${option[@]}" || exit 1
        end=$(date +%s.%N)
        echo "$name $kind seconds $(echo "$end - $start" | bc) wer $(python3 oracles/words/wer.py "$out/$name.$kind.json" "$folder/calls.jsonl")"
    done
done
