#!/usr/bin/env bash
# Makes the demo race anew: its files from the simulation, and a recording in which a synthetic voice speaks each line at its second
# over water and rowlocks. Needs espeak-ng, sox and ffmpeg (Debian: apt-get install espeak-ng sox ffmpeg) and the .NET SDK.
set -euo pipefail
cd "$(dirname "$0")"
work=$(mktemp -d); trap 'rm -rf "$work"' EXIT
for tool in espeak-ng sox ffmpeg; do
    command -v "$tool" >/dev/null || { echo "$tool is missing (Debian: apt-get install $tool)." >&2; exit 69; }
done

dotnet run --project ../../src/Stakeboat.Cli -c Release -- simulate demo -o . --water "$work/water.wav"
seconds=$(soxi -D "$work/water.wav")

# Each line is spoken, stretched to the time that it lasts in lines.tsv, and padded up to the next line's start.
# Lines are cut on whole samples of the running sum, so that no rounding adds up.
n=0; here=0; list=()
while IFS=$'\t' read -r start end text; do
    espeak-ng -v en-gb+f3 -s 175 -a 180 -w "$work/raw.wav" "$text" 2>/dev/null
    sox "$work/raw.wav" -r 16000 -c 1 "$work/cut.wav" silence 1 0.005 0.5% reverse silence 1 0.005 0.5% reverse
    tempo=$(awk -v a="$(soxi -D "$work/cut.wav")" -v s="$start" -v e="$end" 'BEGIN { r = a / (e - s); if (r < 0.6) r = 0.6; if (r > 1.9) r = 1.9; print r }')
    sox "$work/cut.wav" "$work/line.wav" gain -6 tempo -s "$tempo" gain -n -4
    at=$(awk -v s="$start" 'BEGIN { printf "%d", s * 16000 + 0.5 }')
    # A line that the one before has pushed back by more than 0.05 s would be out of step.
    if [ "$at" -lt "$((here - 800))" ]; then echo "line $((n + 1)) would start late: $text" >&2; exit 70; fi
    if [ "$at" -gt "$here" ]; then
        sox -r 16000 -n -c 1 "$work/p$n.wav" trim 0 "$((at - here))s"
        list+=("$work/p$n.wav"); here=$at
    fi
    mv "$work/line.wav" "$work/l$n.wav"
    list+=("$work/l$n.wav"); here=$((here + $(soxi -s "$work/l$n.wav")))
    n=$((n + 1))
done < lines.tsv
sox "${list[@]}" "$work/voice.wav"
sox -m -v 0.85 "$work/voice.wav" -v 0.9 "$work/water.wav" "$work/mix.wav" trim 0 "$seconds"
ffmpeg -loglevel error -y -i "$work/mix.wav" -ac 1 -c:a libopus -b:a 24k -application voip -fflags +bitexact -flags:a +bitexact -map_metadata -1 recording.opus
echo "recording.opus: $(stat -c %s recording.opus) bytes, $(soxi -D "$work/mix.wav") s, $n lines"
