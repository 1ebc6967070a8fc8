package spec

import "strconv"

// Drill is a twist drill.
type Drill struct {
	Series     string  `json:"series"` // "number", "letter", "fraction"
	Name       string  `json:"name"`   // "#30", "F", "1/8"
	DiameterMM float64 `json:"diameter_mm"`
	Cite
}

var (
	citeNumber   = Cite{Source: "ASME B94.11M number sizes", Basis: Read}
	citeLetter   = Cite{Source: "ASME B94.11M letter sizes", Basis: Read}
	citeFraction = Cite{Source: "exact fraction (1 in = 25.4 mm)", Basis: Derived}
)

// Drills lists the number sizes from #1 down, the letter sizes and the 64ths up to 1/2 in.
var Drills = drills()

// numberIn are the diameters of #1 to #60 in inches.
var numberIn = [...]float64{
	0.2280, 0.2210, 0.2130, 0.2090, 0.2055, 0.2040, 0.2010, 0.1990, 0.1960, 0.1935,
	0.1910, 0.1890, 0.1850, 0.1820, 0.1800, 0.1770, 0.1730, 0.1695, 0.1660, 0.1610,
	0.1590, 0.1570, 0.1540, 0.1520, 0.1495, 0.1470, 0.1440, 0.1405, 0.1360, 0.1285,
	0.1200, 0.1160, 0.1130, 0.1110, 0.1100, 0.1065, 0.1040, 0.1015, 0.0995, 0.0980,
	0.0960, 0.0935, 0.0890, 0.0860, 0.0820, 0.0810, 0.0785, 0.0760, 0.0730, 0.0700,
	0.0670, 0.0635, 0.0595, 0.0550, 0.0520, 0.0465, 0.0430, 0.0420, 0.0410, 0.0400,
}

// letterIn are the diameters of A to Z in inches.
var letterIn = [...]float64{
	0.2340, 0.2380, 0.2420, 0.2460, 0.2500, 0.2570, 0.2610, 0.2660, 0.2720, 0.2770, 0.2810, 0.2900, 0.2950,
	0.3020, 0.3160, 0.3230, 0.3320, 0.3390, 0.3480, 0.3580, 0.3680, 0.3770, 0.3860, 0.3970, 0.4040, 0.4130,
}

func drills() []Drill {
	var all []Drill
	for i, d := range numberIn {
		all = append(all, Drill{"number", "#" + strconv.Itoa(i+1), d * inch, citeNumber})
	}
	for i, d := range letterIn {
		all = append(all, Drill{"letter", string(rune('A' + i)), d * inch, citeLetter})
	}
	for n := 1; n <= 32; n++ {
		num, den := n, 64
		for num%2 == 0 {
			num, den = num/2, den/2
		}
		name := strconv.Itoa(num) + "/" + strconv.Itoa(den)
		all = append(all, Drill{"fraction", name, float64(n) * inch / 64, citeFraction})
	}
	return all
}

// MetricDrills lists metric twist drills from 1 mm to 13 mm: in steps of 0.05 mm to 6 mm, then of 0.1 mm.
var MetricDrills = metricDrills()

func metricDrills() []Drill {
	c := Cite{Source: "ISO 235 metric sizes", Basis: Memory}
	var all []Drill
	for n := 100; n <= 1300; n += 5 { // hundredths of a millimetre
		if n > 600 && n%10 != 0 {
			continue
		}
		all = append(all, Drill{"metric", strconv.FormatFloat(float64(n)/100, 'f', -1, 64) + " mm", float64(n) / 100, c})
	}
	return all
}

// CiteDrilled is the source of [Drilled].
var CiteDrilled = Cite{Source: "AND10387, tolerance of drilled holes", Basis: Read, Note: "for machine drilling in a fixture: by hand rather more"}

// Drilled is what a hole made by a drill may measure: 0.001 in under to 0.004 in over (0.005 in from
// 0.126 to 0.250 in).
//
// Source: AND10387, as quoted.
func Drilled(drillMM float64) (minMM, maxMM float64) {
	over := 0.004
	if drillMM > 0.1255*inch {
		over = 0.005
	}
	return drillMM - 0.001*inch, drillMM + over*inch
}

// DrillNamed finds a drill by its name as in the table.
func DrillNamed(name string) (Drill, bool) {
	for _, d := range Drills {
		if d.Name == name {
			return d, true
		}
	}
	return Drill{}, false
}

// DrillUnder finds the largest number or letter drill that is at least marginMM smaller
// than a diameter.
func DrillUnder(diameterMM, marginMM float64) (Drill, bool) {
	var best Drill
	for _, d := range Drills {
		if d.Series != "fraction" && d.DiameterMM <= diameterMM-marginMM && d.DiameterMM > best.DiameterMM {
			best = d
		}
	}
	return best, best.Name != ""
}
