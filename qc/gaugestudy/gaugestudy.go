// Package gaugestudy proves a phone: objects of known size, each photographed several times with the
// phone put down between. It tells bias, repeatability, and whether the U that photos state holds for
// this phone, card and light; where it does not, by how much U must grow (see [qc.InForce] for which
// study counts where). Start with [Match] and [Judge]. Lengths are millimetres, U expanded
// uncertainties (k = 2).
package gaugestudy

import (
	"fmt"
	"math"

	"bucktail/qc"
)

// The least that a study says anything from. Three photos are what a gauge study usually takes, five
// objects what is asked for; one of them may fail to be read.
const (
	LeastPhotos  = 3
	LeastObjects = 4
)

// Object is a thing of known size.
type Object struct {
	Name        string  `json:"name"`
	ReferenceMM float64 `json:"reference_mm"`
	UMM         float64 `json:"U_mm"`
	// ReadMM and ReadUMM are what each photo gave, in the order of the photos; 0 where it gave nothing.
	ReadMM  []float64 `json:"read_mm"`
	ReadUMM []float64 `json:"read_U_mm"`
}

// Input is a study as it was taken.
type Input struct {
	Objects []Object `json:"objects"`
}

// photos is how many there are; all objects tell of as many.
func (in Input) photos() int { return len(in.Objects[0].ReadMM) }

// Verdict says whether U holds.
type Verdict string

// The verdicts.
const (
	Holds  Verdict = "holds"
	Worse  Verdict = "worse" // errors are larger than U says
	TooFew Verdict = "too few"
)

// Result is what a study comes to.
type Result struct {
	Verdict Verdict `json:"verdict"`
	Why     string  `json:"why"`
	// Factor is what U is multiplied by from now on: 1 where it holds.
	Factor  float64 `json:"factor"`
	Objects int     `json:"objects"` // that every photo read
	Photos  int     `json:"photos"`
	Outside int     `json:"outside"` // errors larger than U, of Objects × Photos
	// BiasMM is the mean error, with its own U. RepeatMM is the standard deviation of one more photo of
	// the same object (the photos' and what is left), ObjectsMM that from object to object, what the
	// references explain of it left in.
	BiasMM    float64   `json:"bias_mm"`
	BiasUMM   float64   `json:"bias_U_mm"`
	RepeatMM  float64   `json:"repeat_mm"`
	ObjectsMM float64   `json:"objects_mm"`
	MeanUMM   float64   `json:"mean_U_mm"` // that the photos stated
	ErrorsMM  []float64 `json:"errors_mm"` // of each object, the mean over the photos; 0 of one that does not count
	Notes     []string  `json:"notes,omitempty"`
}

// Judge says what a study comes to.
//
// Errors are taken in units of what they may be, u of the photo and of the reference together. Their
// mean square is held against chi-squared at 95 %, with as many degrees of freedom as there is
// independent news in it: errors that all readings share, or all of one photo or object, count once
// (Satterthwaite's rule on the components of variance; JCGM 100:2008 G.4.1 has it for a budget). So a
// bias as large as U allows is no fault.
//
// Where it is larger, U grows to what the errors ask for: the bias, which nobody corrects, added to the
// expanded uncertainty of what varies, its coverage factor by Student's t for the degrees of freedom
// (JCGM 100:2008 F.2.4.5 and G.4.1; ISO 15530-3 does the same with calibrated workpieces, cited from
// memory). It never shrinks.
func Judge(in Input) (Result, error) {
	if err := in.valid(); err != nil {
		return Result{}, err
	}
	photos := in.photos()
	r := Result{Factor: 1, Photos: photos, ErrorsMM: make([]float64, len(in.Objects))}
	var mm, units, ofU [][][]float64 // errors in mm, in standard uncertainties, in stated U
	refs := 0.0                      // mean square of the references' standard uncertainty, in stated U
	coarse := 0
	for k, o := range in.Objects {
		if o.seen() < photos {
			r.Notes = append(r.Notes, fmt.Sprintf("%s was read on %d of %d photos and does not count", o.Name, o.seen(), photos))
			continue
		}
		var rows [3][][]float64
		for j := range o.ReadMM {
			e, u := o.ReadMM[j]-o.ReferenceMM, o.ReadUMM[j]
			if math.Abs(e) > math.Hypot(u, o.UMM) {
				r.Outside++
			}
			r.MeanUMM += u
			r.ErrorsMM[k] += e / float64(photos)
			refs += sq(o.UMM / 2 / u)
			if 3*o.UMM > u {
				coarse++
			}
			for i, x := range []float64{e, 2 * e / math.Hypot(u, o.UMM), e / u} {
				rows[i] = append(rows[i], []float64{x})
			}
		}
		mm, units, ofU = append(mm, rows[0]), append(units, rows[1]), append(ofU, rows[2])
	}
	r.Objects = len(mm)
	if r.Objects < LeastObjects || r.Photos < LeastPhotos {
		r.Verdict, r.MeanUMM = TooFew, 0
		r.Why = tooFew(r.Objects, r.Photos)
		return r, nil
	}
	n := float64(r.Objects * r.Photos)
	r.MeanUMM /= n
	v := Crossed(mm)
	r.BiasMM, r.RepeatMM, r.ObjectsMM = v.Mean, math.Sqrt(v.OfPhoto+v.OfError), math.Sqrt(v.OfObject)
	meanVar, meanDoF := v.ofMean(r.Objects, r.Photos)
	ref := 0.0 // one instrument measured them all: its error may be common to all
	for _, o := range in.Objects {
		ref += o.UMM / 2 / float64(len(in.Objects))
	}
	b, err := qc.Combine([]qc.Term{{U: math.Sqrt(meanVar), Sensitivity: 1, DoF: meanDoF}, {U: ref, Sensitivity: 1}})
	if err != nil {
		return Result{}, err
	}
	r.BiasUMM = b.Expanded

	z := Crossed(units)
	meanSquare := 0.0
	for i := range units {
		for j := range units[i] {
			meanSquare += sq(units[i][j][0]) / n
		}
	}
	dof := z.independent(r.Objects, r.Photos)
	if meanSquare <= chiSquared(0.95, dof)/dof {
		r.Verdict = Holds
		r.Why = fmt.Sprintf("%d of %d errors lie within U: it holds", r.objectsPhotos()-r.Outside, r.objectsPhotos())
	} else {
		w := Crossed(ofU)
		spread, k := w.spread(r.Objects, r.Photos, refs/n)
		r.Verdict = Worse
		// Rounded up: the figure that is read is the one that counts.
		r.Factor = math.Max(1.01, math.Ceil(100*(math.Abs(w.Mean)+k*spread)-1e-9)/100)
		r.Why = fmt.Sprintf("%d of %d errors lie beyond U: it is multiplied by %.2f until a new study", r.Outside, r.objectsPhotos(), r.Factor)
	}
	if 2*coarse > r.objectsPhotos() {
		r.Notes = append(r.Notes, "the references are not three times finer than the photos, so that little is told of errors about as large as U (practice)")
	}
	r.Notes = append(r.Notes, odd(in, &r)...)
	return r, nil
}

func tooFew(objects, photos int) string {
	return fmt.Sprintf("%d objects on %d photos are too few to tell: %d and %d are needed", objects, photos, LeastObjects, LeastPhotos)
}

func (r *Result) objectsPhotos() int { return r.Objects * r.Photos }

// ofMean is the variance of the mean of all, a objects and b photos, and its degrees of freedom.
func (v Variance) ofMean(a, b int) (variance, dof float64) {
	fa, fb := float64(a), float64(b)
	ms := []Source{v.Object, v.Photo, v.Error}
	return satterthwaite(ms, []float64{1 / (fa * fb), 1 / (fa * fb), -1 / (fa * fb)})
}

// spread is the standard deviation of one reading of a new object on a new photo, of the objects no
// less than ref, the variance that their references bring; and the coverage factor that goes with it.
func (v Variance) spread(a, b int, ref float64) (s, k float64) {
	fa, fb := float64(a), float64(b)
	c := []float64{0, 0, 1}
	if v.OfObject > 0 {
		c[0], c[2] = 1/fb, c[2]-1/fb
	}
	if v.OfPhoto > 0 {
		c[1], c[2] = 1/fa, c[2]-1/fa
	}
	total, dof := satterthwaite([]Source{v.Object, v.Photo, v.Error}, c)
	return math.Sqrt(total + math.Max(0, ref-v.OfObject)), qc.CoverageFactor(qc.Confidence, dof)
}

// satterthwaite adds up mean squares, c times each, and gives the degrees of freedom of the sum. One
// that is subtracted may leave less than nothing: then the last counts alone.
func satterthwaite(ms []Source, c []float64) (sum, dof float64) {
	below := 0.0
	for i, m := range ms {
		sum += c[i] * m.MS
		below += sq(c[i]*m.MS) / m.DoF
	}
	if last := ms[len(ms)-1]; sum <= 0 {
		return math.Abs(c[len(c)-1]) * last.MS, last.DoF
	}
	if below == 0 {
		return sum, 0
	}
	return sum, sq(sum) / below
}

// independent is how many independent errors a readings of b photos are worth: between 1, where all
// of them are off by the same, and all of them. Two readings go together as far as they share the bias,
// their photo or their object.
func (v Variance) independent(a, b int) float64 {
	fa, fb := float64(a), float64(b)
	meanVar, _ := v.ofMean(a, b)
	bias := math.Max(0, sq(v.Mean)-meanVar)
	total := bias + v.OfObject + v.OfPhoto + v.OfError
	if total == 0 {
		return fa * fb
	}
	share := func(x float64) float64 { return sq(x / total) }
	together := share(total) +
		(fb-1)*share(bias+v.OfObject) +
		(fa-1)*share(bias+v.OfPhoto) +
		(fa-1)*(fb-1)*share(bias)
	return fa * fb / together
}

// odd names objects that are off by themselves: most likely their reference was misread or mistyped.
func odd(in Input, r *Result) (notes []string) {
	for k, o := range in.Objects {
		if o.seen() < r.Photos {
			continue
		}
		others := 0.0
		for i := range in.Objects {
			if i != k && in.Objects[i].seen() == r.Photos {
				others += r.ErrorsMM[i] / float64(r.Objects-1)
			}
		}
		if u := math.Hypot(r.MeanUMM, o.UMM); math.Abs(r.ErrorsMM[k]-others) > 1.5*u {
			notes = append(notes, fmt.Sprintf("%s is off by %s, the others by %s on the average: measure it by hand once more",
				o.Name, signed(r.ErrorsMM[k]), signed(others)))
		}
	}
	return notes
}

func signed(mm float64) string {
	if mm < 0 {
		return "−" + qc.Millimetres.Value(-mm)
	}
	return "+" + qc.Millimetres.Value(mm)
}

// seen counts the photos that read it.
func (o Object) seen() (n int) {
	for _, x := range o.ReadMM {
		if x > 0 {
			n++
		}
	}
	return n
}

// most bounds what a study may hold.
const most = 100

func (in Input) valid() error {
	if n := len(in.Objects); n == 0 || n > most || in.photos() == 0 || in.photos() > most {
		return fmt.Errorf("%d objects are no study, or nothing was read of them: give 1 to %d, on as many photos at most", n, most)
	}
	photos := in.photos()
	for _, o := range in.Objects {
		if !(o.ReferenceMM > 0 && o.ReferenceMM < 1000) {
			return fmt.Errorf("the size of %s is missing: measure it by hand and enter it", o.Name)
		}
		if !(o.UMM > 0 && o.UMM < o.ReferenceMM) {
			return fmt.Errorf("the size of %s has no uncertainty: say how well the instrument measures", o.Name)
		}
		if len(o.ReadMM) != photos || len(o.ReadUMM) != photos {
			return fmt.Errorf("%s has %d readings for %d photos: give one for each, 0 where there is none", o.Name, len(o.ReadMM), photos)
		}
		for j, x := range o.ReadMM {
			if x != 0 && !(x > 0 && x < 1000 && o.ReadUMM[j] > 0 && o.ReadUMM[j] < 1000) {
				return fmt.Errorf("photo %d read %s as %v ± %v mm: measure it again", j+1, o.Name, x, o.ReadUMM[j])
			}
		}
	}
	return nil
}
