#!/usr/bin/env bash
# A 90-minute recording, made here (espeak-ng speaks lines of the phrase bank over noise; sox, ffmpeg): memory, speed of all but the
# recogniser, time to cancel, and going on after a kill. long.sh FOLDER (about 300 MB). The recogniser is a stand-in that answers at once,
# so that what is measured is this program; with "long.sh FOLDER pocketsphinx" the real one is cancelled and killed in its first minute.
set -eu
cd "$(dirname "$0")/../.."
out=${1:?folder}; with=${2:-stand-in}
mkdir -p "$out"
run="${STAKEBOAT:-dotnet src/Stakeboat.Cli/bin/Release/net10.0/stakeboat.dll}"
if [ ! -f "$out/long.wav" ]; then
    cut -f2 src/Stakeboat.Words/Language/lines.txt | grep -v '[<#]' | sed -n '2000,2090p' >"$out/lines.txt"
    sed -i 's/$/. . ./' "$out/lines.txt"
    espeak-ng -v en -s 165 -g 40 -w "$out/talk.wav" -f "$out/lines.txt"
    sox "$out/talk.wav" -r 16000 -c 1 "$out/talk16.wav" pad 0 6 repeat 40 trim 0 5400
    sox -n -r 16000 -c 1 "$out/noise.wav" synth 5400 brownnoise vol 0.05
    sox -m "$out/talk16.wav" "$out/noise.wav" "$out/long.wav"
    ffmpeg -v error -y -i "$out/long.wav" -b:a 64k "$out/long.mp3"
    ffmpeg -v error -y -i "$out/long.wav" -c:a libopus -b:a 20k "$out/long.opus"
    rm "$out"/talk*.wav "$out/noise.wav"
fi
printf '#!/bin/sh\necho up 0.1 0.3 0.9\n' >"$out/stand-in.sh"
stand="stand-in | sh $out/stand-in.sh {wav} | words"
ask="$stand"; [ "$with" = stand-in ] || ask="$with"
echo "| recording | seconds of sound | s | peak memory MB |"
if [ "$with" = stand-in ]; then
    for sound in ${SOUNDS-long.wav long.mp3 long.opus}; do
        /usr/bin/time -f "%e %M" -o "$out/time" $run words "$out/$sound" -o "$out/$sound.json" --recogniser "$stand" >"$out/said"
        read -r seconds memory <"$out/time"
        echo "| $sound | 5400 | $seconds | $((memory / 1024)) |"
    done
fi
# A shell keeps the interrupt from what it runs in the background; it is given back, as at a terminal.
free() { exec python3 -c 'import os, signal, sys; signal.signal(signal.SIGINT, signal.SIG_DFL); os.execvp(sys.argv[1], sys.argv[1:])' "$@"; }
# Cancel: from the interrupt to the end of the program.
rm -f "$out"/c.json*
free $run words "$out/long.wav" -o "$out/c.json" --recogniser "$ask" >/dev/null 2>&1 &
pid=$!
for i in $(seq 5000); do [ "$(grep -c . "$out/c.json.part" 2>/dev/null || true)" -gt 6 ] 2>/dev/null && break; sleep 0.2; done
before=$(date +%s.%N); kill -INT $pid; code=0; wait $pid || code=$?
echo "cancelled: $(echo "$(date +%s.%N) - $before" | bc | cut -c1-5) s, exit code $code, $(($(wc -l <"$out/c.json.part") - 1)) stretches kept"
# Kill, and go on.
kept=$(wc -l <"$out/c.json.part")
free $run words "$out/long.wav" -o "$out/c.json" --recogniser "$ask" >/dev/null 2>&1 &
pid=$!
for i in $(seq 5000); do [ "$(wc -l <"$out/c.json.part")" -gt $((kept + 5)) ] && break; sleep 0.2; done
kill -9 $pid; wait $pid 2>/dev/null || true
kept=$(($(wc -l <"$out/c.json.part") - 1))
echo "killed: $kept stretches kept"
if [ "$with" = stand-in ]; then
    printf '#!/bin/sh\necho x >>%s\necho up 0.1 0.3 0.9\n' "$out/asked" >"$out/stand-in.sh"; rm -f "$out/asked"
    $run words "$out/long.wav" -o "$out/c.json" --recogniser "$stand"
    echo "gone on: $(wc -l <"$out/asked") stretches asked of the recogniser after the kill, the same words as in one go: $(cmp -s "$out/c.json" "$out/long.wav.json" && echo yes || echo no)"
fi
