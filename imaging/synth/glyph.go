package synth

import "strings"

// strokes are the letters that the printed cards and the marker need, drawn as single
// strokes on a grid 4 wide and 6 high: two digits a point, x then y up; a space starts the
// next stroke.
var strokes = map[rune]string{
	'0': "10302345363616050110", '1': "153630", '2': "05164645440040", '3': "0536463313 3344423100",
	'4': "304600", '5': "46060333424110 1001", '6': "4516050110304133130", '7': "064610",
	'8': "1333444636160503130201103041423", '9': "01104146360504133344", 'A': "002640 1232",
	'B': "000636454433 0333424130 3000", 'C': "4536160501103041", 'H': "0006 4046 0343",
	'K': "0006 4603 1440", 'L': "060040", 'O': "10304145361605011", 'R': "000636454433030 2340",
	'X': "0046 0640", '-': "1333", '.': "2021",
	'a': "3414030110304134 3430", 'b': "0600 0314344341301001", 'c': "43341403011030414",
	'd': "4640 4334140301103041", 'e': "0242433414030110304", 'i': "2024 2526", 'l': "2620",
	'n': "0400 0314344340", 'o': "1030414334140301 0110", 'p': "04200 0314344341301001",
	'r': "0400 031434", 's': "43341403 03124130 301001", 't': "26213040 1434", 'w': "0410243044",
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
