#!/bin/sh
# Everything on what was left out, from the root of the repository: counts, first look, second look, scores. About ten minutes on two free cores.
# Folds: voices 1-3, 4-6, 7-9, 10-12, each with two folders in alphabetical order.
set -e
O=oracles/calls/out
mkdir -p $O
for k in 0 1 2 3; do python3 oracles/calls/train-speech.py data/corpus $O/speech-$k.txt --leave $k; done
dotnet build oracles/calls/leaveout -c Release -v q
L="dotnet oracles/calls/leaveout/bin/Release/net10.0/leaveout.dll"
$L --dump 1 --hand
python3 oracles/calls/train-weights.py $O/dump1 $O/weights 80
$L --dump 2 --once
python3 oracles/calls/train-second.py $O/dump2 $O/second
$L --raw                # plain captions, bank and races; scores for fit-trust.py
python3 oracles/calls/fit-trust.py $O/raw.tsv
$L --only folders --rec # the recogniser's captions
