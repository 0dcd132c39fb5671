#!/bin/sh
# Sounds of the lexicon by another program: espeak.sh < words > espeak.txt (espeak-ng, voice en-us)
echo "# $(espeak-ng --version | cut -d' ' -f1-5 | cut -d'D' -f1)"
while read -r w; do printf '%s\t%s\n' "$w" "$(espeak-ng -q --ipa -v en-us "$w" | tr -d ' \n')"; done
