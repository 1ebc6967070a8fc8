package cli

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"strings"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/qc"
	"bucktail/qc/gaugestudy"
	"bucktail/server/measuring"
	"bucktail/store"
)

const studyUsage = `study --circles|--what KIND --rivet SIZE [FLAGS] PHOTO...

Proves a phone: objects of known size, five or more, on three photos or more, the
phone put down between, card and objects left where they lie. Without --sizes it
numbers the objects; with the sizes, in that order, it says whether U holds, and
else what to give to bucktail measure --grow. With --circles the circles that are
printed beside the cards are the objects: they prove the optics alone, and their
sizes are known.

Exit status: 0 U holds, 1 it does not, or nothing can be said, 2 wrong usage.
`

// proveIt is the subcommand study.
func proveIt(c console, args []string) int {
	f := newFlags("study")
	words := measuring.Register(f)
	words.Open = func(name string) (io.ReadCloser, error) { return os.Open(name) }
	var sizes signedList
	f.Var(&sizes, "sizes", "`MM,...`: what calipers or pins say of each object, by its number")
	u := f.Float64("sizes-u", 0.03, "`MM`: expanded uncertainty (k = 2) of these")
	circles := f.Bool("circles", false, "the printed circles lie beside the card, on the same paper")
	asJSON := f.Bool("json", false, "print one JSON object instead of the table")
	if status, done := parseFlags(c, f, studyUsage, args, -1); done {
		return status
	}
	look, err := studied(words, *circles)
	if len(sizes) > 0 && *circles {
		err = fmt.Errorf("--sizes has no place beside --circles: their sizes are known")
	}
	if err != nil {
		return misused(c, "study", err)
	}
	var photos []gaugestudy.Photo
	seen := map[[sha256.Size]byte]string{}
	var at [][]geom.PxPoint // of each photo, where its spots are
	for _, name := range f.Args() {
		data, refusal := readPhoto(c.in, name)
		if refusal != nil {
			return failed(c, fmt.Errorf("%s: %w", name, refusal))
		}
		sum := sha256.Sum256(data)
		if same, twice := seen[sum]; twice {
			return failed(c, fmt.Errorf("%s is the same file as %s: take each photo anew", name, same))
		}
		seen[sum] = name
		p, px, err := look(data)
		if err != nil {
			return failed(c, fmt.Errorf("%s: %w", name, err))
		}
		photos, at = append(photos, p), append(at, px)
	}
	m, err := gaugestudy.Match(photos)
	if err != nil {
		return failed(c, err)
	}
	if m.Few != nil {
		fmt.Fprintf(c.err, "bucktail: %v\n", m.Few)
	}
	if len(sizes) == 0 && !*circles {
		fmt.Fprintf(c.out, "%d objects on %s; give their sizes in this order with --sizes:\n", len(m.Objects), f.Arg(m.Base))
		for i, k := range m.Spots {
			p := at[m.Base][k]
			fmt.Fprintf(c.out, "%3d  at pixel %.0f,%.0f\n", i+1, p.U, p.V)
		}
		return 1
	}
	if len(sizes) != len(m.Objects) && !*circles {
		return misused(c, "study", fmt.Errorf("--sizes names %d of the %d objects on %s", len(sizes), len(m.Objects), f.Arg(m.Base)))
	}
	for i := range sizes {
		m.Objects[i].Name, m.Objects[i].ReferenceMM, m.Objects[i].UMM = fmt.Sprintf("number %d", i+1), sizes[i], *u
	}
	r, err := gaugestudy.Judge(gaugestudy.Input{Objects: m.Objects})
	if err != nil {
		return failed(c, err)
	}
	if *asJSON {
		if err := json.NewEncoder(c.out).Encode(struct {
			Objects []gaugestudy.Object `json:"objects"`
			Result  gaugestudy.Result   `json:"result"`
		}{m.Objects, r}); err != nil {
			return failed(c, err)
		}
	} else {
		printStudy(c.out, r)
	}
	if r.Verdict != gaugestudy.Holds {
		return 1
	}
	return 0
}

// countStudies lets the gauge studies of the record in a folder count for what a phone took.
func countStudies(o *answer.Options, folder, phone string) error {
	ctx := context.Background()
	s, err := store.OpenReadOnly(folder, store.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	ds, err := s.Devices(ctx)
	if err != nil {
		return err
	}
	id := ""
	var names []string
	for _, d := range ds {
		names = append(names, d.Name)
		if phone != "" && (d.Name == phone || d.ID == phone) {
			id = d.ID
		}
	}
	if phone != "" && id == "" {
		return fmt.Errorf("--phone %q is not in the record: there are %s", phone, strings.Join(names, ", "))
	}
	return measuring.Studies(s.Proofs).Count(ctx, o, id)
}

// studied gives how a study looks at a photo: what it read, and where that is.
func studied(words *measuring.Words, circles bool) (func(data []byte) (gaugestudy.Photo, []geom.PxPoint, error), error) {
	if circles {
		opt, err := words.Card()
		return func(data []byte) (p gaugestudy.Photo, at []geom.PxPoint, err error) {
			ph, err := photo.Decode(data)
			if err != nil {
				return p, nil, err
			}
			seen, err := answer.Circles(ph, opt)
			if err != nil {
				return p, nil, err
			}
			for _, r := range seen.Rings {
				at = append(at, geom.PxPoint{U: r[0][0], V: r[0][1]})
			}
			return seen.Photo, at, nil
		}, err
	}
	opt, err := words.Options()
	if err == nil && opt.Given != nil {
		err = fmt.Errorf("--grow has no place in a study: what is proven is the U that photos state by themselves")
	}
	return func(data []byte) (p gaugestudy.Photo, at []geom.PxPoint, err error) {
		doc, err := answer.Measure(data, opt)
		if err != nil {
			return p, nil, err
		}
		if doc.Scale == nil {
			return p, nil, &doc.Problems[0]
		}
		p = gaugestudy.Photo{Camera: doc.Camera, Layout: doc.Scale.Layout}
		for _, l := range doc.Locations {
			s := gaugestudy.Spot{XMM: l.SheetMM[0], YMM: l.SheetMM[1]}
			for _, r := range l.Readings {
				s.Readings = append(s.Readings, r.Reading)
			}
			p.Spots, at = append(p.Spots, s), append(at, geom.PxPoint{U: l.CentrePx[0], V: l.CentrePx[1]})
		}
		return p, at, nil
	}, err
}

func failed(c console, err error) int {
	fmt.Fprintf(c.err, "bucktail: %v\n", err)
	return 1
}

func printStudy(w io.Writer, r gaugestudy.Result) {
	mm := qc.Millimetres
	fmt.Fprintln(w, r.Why)
	if r.Verdict != gaugestudy.TooFew {
		for i, e := range r.ErrorsMM {
			if e == 0 { // of one that does not count
				continue
			}
			fmt.Fprintf(w, "number %-3d mean error          %+.3f mm\n", i+1, e)
		}
		fmt.Fprintf(w, "bias                           %s%s\n", map[bool]string{true: "−"}[r.BiasMM <= -0.005], mm.WithU(math.Abs(r.BiasMM), r.BiasUMM))
		fmt.Fprintf(w, "another photo, s               %s\nfrom object to object, s       %s\nU that the photos state, mean  %s\n", mm.Value(r.RepeatMM), mm.Value(r.ObjectsMM), mm.Value(r.MeanUMM))
	}
	for _, n := range r.Notes {
		fmt.Fprintln(w, n)
	}
	if r.Factor > 1 {
		fmt.Fprintf(w, "bucktail measure --grow %.2f …\n", r.Factor)
	}
}
