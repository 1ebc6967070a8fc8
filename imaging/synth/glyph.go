package synth

import "strings"

// strokes are the letters that the printed cards and the marker need, drawn as single
// strokes on a grid 4 wide and 6 high: two digits a point, x then y up; a space starts the
// next stroke.
var strokes = map[rune]string{
	'0': "103041453616050110", '1': "142620", '2': "05163645440040", '3': "051636454433 13334241301001",
	'4': "30360242", '5': "460603334241301001", '6': "453616050110304142331302", '7': "064610",
	'8': "13334445361605041302011030414233", '9': "011030414536160504133344", 'A': "002640 1232",
	'B': "00063645443303 3342413000", 'C': "4536160501103041", 'H': "0006 4046 0343",
	'K': "0006 4603 1440", 'L': "060040", 'O': "103041453616050110", 'R': "00063645443303 2340",
	'X': "0046 0640", '-': "1333", '.': "2021",
	'a': "4334140301103041 4440", 'b': "0600 0314344341301001", 'c': "4334140301103041",
	'd': "4640 4334140301103041", 'e': "02424334140301103041", 'i': "2024 2526", 'l': "2620",
	'n': "0400 0314344340", 'o': "103041433414030110", 'p': "0400 0314344341301001",
	'r': "0400 031434", 's': "43341403123241301001", 't': "2620 0444", 'w': "0410243044",
}

// textStrokes lays text out from (0, 0), letters of height size, and calls line for each
// straight piece, in the units of size, y up. It returns the width.
func textStrokes(text string, size float64, line func(x0, y0, x1, y1 float64)) float64 {
	k := size / 6
	at := 0.0
	for _, c := range text {
		for _, s := range strings.Fields(strokes[c]) {
			for i := 0; i+3 < len(s); i += 2 {
				line(at+float64(s[i]-'0')*k, float64(s[i+1]-'0')*k, at+float64(s[i+2]-'0')*k, float64(s[i+3]-'0')*k)
			}
		}
		at += 5.6 * k
	}
	return at
}
