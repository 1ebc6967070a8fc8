package measuring

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bucktail/imaging/geom"
)

// numbers is a flag of finite numbers with commas between, as "812,640". Given several times
// it keeps each.
type numbers struct {
	want string // the shape as it is told to people: "u,v"; what is in brackets may be left out
	got  [][]float64
}

func (n *numbers) String() string { return "" }

func (n *numbers) Set(s string) error {
	parts := strings.Split(s, ",")
	needed, _, _ := strings.Cut(n.want, "[")
	if len(parts) < strings.Count(needed, ",")+1 || len(parts) > strings.Count(n.want, ",")+1 {
		return fmt.Errorf("write it as %s", n.want)
	}
	var vs []float64
	for _, p := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%q is no number; write it as %s", p, n.want)
		}
		vs = append(vs, v)
	}
	n.got = append(n.got, vs)
	return nil
}

func (n *numbers) px() []geom.PxPoint {
	var out []geom.PxPoint
	for _, v := range n.got {
		out = append(out, geom.PxPoint{U: v[0], V: v[1]})
	}
	return out
}

// one gives the last of several, nil of none.
func (n *numbers) one() []float64 {
	if len(n.got) == 0 {
		return nil
	}
	return n.got[len(n.got)-1]
}

// texts is a flag that may be given several times.
type texts []string

func (l *texts) String() string { return "" }

func (l *texts) Set(s string) error { *l = append(*l, s); return nil }
