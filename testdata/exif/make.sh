#!/bin/bash
# Makes corners_N.jpg and corners_N.png: one upright picture, 47 x 33 pixels (odd on
# purpose: no whole number of chroma pixels), with a red, green, blue and white corner,
# stored in all eight EXIF orientations. Needs ImageMagick and exiftool; they also
# check the result (-auto-orient). Not run by the tests.
set -e
cd "$(dirname "$0")"
convert -size 47x33 xc:gray50 -fill red -draw 'rectangle 0,0 15,10' -fill lime -draw 'rectangle 31,0 46,10' \
    -fill blue -draw 'rectangle 0,22 15,32' -fill white -draw 'rectangle 31,22 46,32' upright.png
n=1
for turn in "" "-flop" "-rotate 180" "-flip" "-transpose" "-rotate 270" "-transverse" "-rotate 90"; do
    # shellcheck disable=SC2086 # the words of $turn are meant to be split
    convert upright.png $turn -strip -quality 92 -sampling-factor 2x2 corners_$n.jpg
    convert upright.png $turn -strip corners_$n.png
    exiftool -q -overwrite_original -n -Orientation=$n corners_$n.jpg corners_$n.png
    convert corners_$n.jpg -auto-orient -format "$n: %w x %h %[pixel:p{5,5}] %[pixel:p{40,5}] %[pixel:p{5,28}] %[pixel:p{40,28}]\n" info:
    n=$((n + 1))
done
rm upright.png
