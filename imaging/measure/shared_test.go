package measure

import (
	"encoding/json"
	"os"
	"sync"

	"bucktail/imaging/photo"
	"bucktail/qc"
)

// What several tests look at is decoded and measured once: no test changes it.

// bundled are the photos with known truth; see testdata/photos/README.md.
var bundled = []string{"dev-03", "dev-08", "dev-13", "dev-16"}

var decodedOnce sync.Map // by name, func() *photo.Photo

// decoded gives a bundled photo.
func decoded(name string) *photo.Photo {
	once, _ := decodedOnce.LoadOrStore(name, sync.OnceValue(func() *photo.Photo {
		ph, err := photo.Decode(bundledFile(name + ".jpg"))
		if err != nil {
			panic(err) // the tests' own data
		}
		return ph
	}))
	return once.(func() *photo.Photo)()
}

// truthOf tells what is known of a bundled photo.
func truthOf(name string) *truth {
	var tr truth
	if err := json.Unmarshal(bundledFile(name+".json"), &tr); err != nil {
		panic(err)
	}
	return &tr
}

func bundledFile(name string) []byte {
	b, err := os.ReadFile("../../testdata/photos/" + name)
	if err != nil {
		panic(err)
	}
	return b
}

// Heads and holes as read without help, on cards that nobody measured and on one that somebody did.
var (
	shopHeads = Options{Kind: qc.ShopHead, NominalMM: 2.38125}
	someHeads = sync.OnceValue(func() *Result { return Decoded(decoded("dev-16"), shopHeads) })
	someHoles = sync.OnceValue(func() *Result {
		return Decoded(decoded("dev-13"), Options{Kind: qc.Hole, NominalMM: 3.96875})
	})
	headsByMeasuredCard = sync.OnceValue(func() *Result {
		opt := shopHeads
		opt.ScaleX, opt.ScaleY, opt.ThicknessMM = 1, 1, 0.3
		return Decoded(decoded("dev-16"), opt)
	})
	largerHeads     = Options{Kind: qc.ShopHead, NominalMM: 4.7625}
	someLargerHeads = sync.OnceValue(func() *Result { return Decoded(decoded("dev-08"), largerHeads) })
)

// kindOnPhoto is a bundled photo measured for one kind, with what is known of it.
type kindOnPhoto struct {
	name string
	ph   *photo.Photo
	tr   *truth
	opt  Options
	auto *Result
}

// everyKind are all bundled photos and kinds.
var everyKind = sync.OnceValue(func() []*kindOnPhoto { return kindsOn(bundled) })

// kindsOn measures photos for each kind that they show.
func kindsOn(names []string) (all []*kindOnPhoto) {
	for _, name := range names {
		ph, tr := decoded(name), truthOf(name)
		done := map[string]bool{}
		for _, g := range tr.Fasteners {
			if done[g.Type] {
				continue
			}
			done[g.Type] = true
			opt := Options{Kind: kindOf[g.Type], NominalMM: g.NominalMM, ScaleX: tr.Card.Scale[0], ScaleY: tr.Card.Scale[1], ThicknessMM: tr.Card.ThicknessMM}
			all = append(all, &kindOnPhoto{name, ph, tr, opt, Decoded(ph, opt)})
		}
	}
	return all
}
