#!/bin/sh
# Everything on what was left out, from the root of the repository: counts, proposals, weights, scores. About five minutes.
# Folds: voices 1-3, 4-6, 7-9, 10-12, each with two folders in alphabetical order.
set -e
mkdir -p oracles/calls/out
for k in 0 1 2 3; do python3 oracles/calls/train-speech.py data/corpus oracles/calls/out/speech-$k.txt --leave $k; done
dotnet build oracles/calls/leaveout -c Release -v q
L="dotnet oracles/calls/leaveout/bin/Release/net10.0/leaveout.dll"
$L --dump --hand
python3 oracles/calls/train-weights.py oracles/calls/out/dump-0.tsv oracles/calls/out/dump-1.tsv oracles/calls/out/dump-2.tsv oracles/calls/out/dump-3.tsv oracles/calls/out
$L                      # plain captions, bank and races
$L --only folders --rec # the recogniser's captions
