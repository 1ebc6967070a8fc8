package photo

import "bucktail/imaging/raster"

// Quality says how well a picture is exposed and how sharp it is, as figures for
// people and for hints; what is measured is decided by the rings of the card.
type Quality struct {
	// EdgePx is the width of the picture's sharper edges, px: the step across an edge
	// divided by its steepest slope, taken where a tenth of all strong edges is
	// sharper, and along the direction in which the picture is softer (a shaken
	// photo is soft in one). A focused phone photo has 1.5 to 3. 0 when the picture
	// shows no strong edge.
	EdgePx float64 `json:"edge_px"`
	// Bright and Dark are the fractions of pixels at the ends of the scale (luma 254 and
	// more, 1 and less), where nothing can be told any more.
	Bright float64 `json:"bright"`
	Dark   float64 `json:"dark"`
	// MedianLuma is the middle grey level, 0 to 255.
	MedianLuma int `json:"median_luma"`
}

// Assess looks at every few rows and columns, so that its cost stays a few
// milliseconds for a phone's picture.
func Assess(pic *raster.Picture) Quality {
	var q Quality
	g := pic.Y
	var levels [256]int
	total := 0
	step := max(1, min(g.W, g.H)/128) // about 128 lines each way
	across, down := newEdgeWidths(), newEdgeWidths()
	for y := step / 2; y < g.H; y += step {
		row := g.Pix[y*g.W : (y+1)*g.W]
		for x := step / 2; x < g.W; x += step {
			levels[row[x]]++
			total++
		}
		across.line(row)
	}
	column := make([]uint8, g.H)
	for x := step / 2; x < g.W; x += step {
		for y, i := 0, x; y < g.H; y, i = y+1, i+g.W {
			column[y] = g.Pix[i]
		}
		down.line(column)
	}
	q.EdgePx = max(across.tenth(), down.tenth())
	if total == 0 {
		return q
	}
	q.Dark = float64(levels[0]+levels[1]) / float64(total)
	q.Bright = float64(levels[254]+levels[255]) / float64(total)
	for sum := levels[0]; 2*sum < total; sum += levels[q.MedianLuma] {
		q.MedianLuma++
	}
	return q
}

// edgeWidths collects the widths of edges in bins of a tenth of a pixel.
type edgeWidths struct {
	bins  [400]int
	count int
}

func newEdgeWidths() *edgeWidths { return &edgeWidths{} }

// strongEdge is the least step, in grey levels, that counts: well above the noise
// and the blocks of compression, well below ink on paper (about 150).
const strongEdge = 48

// line finds the monotonic runs along a line and files each strong one by its width.
func (e *edgeWidths) line(v []uint8) {
	start, steepest := 0, 0
	up := false
	for i := 1; i < len(v); i++ {
		d := int(v[i]) - int(v[i-1])
		if d == 0 || d > 0 != up {
			e.run(v, start, i-1, steepest)
			start, steepest, up = i-1, 0, d > 0
		}
		if d < 0 {
			d = -d
		}
		steepest = max(steepest, d)
	}
	e.run(v, start, len(v)-1, steepest)
}

func (e *edgeWidths) run(v []uint8, start, end, steepest int) {
	if end <= start || steepest == 0 {
		return
	}
	step := int(v[end]) - int(v[start])
	if step < 0 {
		step = -step
	}
	if step < strongEdge {
		return
	}
	e.bins[min(step*10/steepest, len(e.bins)-1)]++
	e.count++
}

// tenth gives the width, px, below which a tenth of the edges lie. Fewer than 20
// edges say nothing.
func (e *edgeWidths) tenth() float64 {
	if e.count < 20 {
		return 0
	}
	sum := 0
	for i, n := range e.bins {
		if sum += n; sum*10 >= e.count {
			return float64(i) / 10
		}
	}
	return float64(len(e.bins)) / 10
}
