package feature

import (
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// lookCloser measures a head whose outline is known roughly: along the straightened contour the
// network sees finer than in the neighbourhood as a whole, and need not find the head any more.
// flats are the sightings of a driven head's flat from afar; a band shows a part of it only.
//
// ok is false where nothing can be fitted to what it sees.
func lookCloser(pic *raster.Picture, cam *geom.Camera, k qc.Kind, rough *outlineFit, flats []sighting, prior headPrior, rNomMM float64) (f outlineFit, clear float64, ok bool) {
	b := straighten(pic, cam, &rough.Outline, &prior.profile, rough.heightMM, rNomMM)
	v := lookClosely(bandNet(), b, cam, k)
	// Finer sightings: what any of them may err by at least is half of that of the rough look.
	f, ok = fitOutline(append(v.sightings, flats...), cam, rough.Outline, prior, 0.002*prior.nominalD)
	return f, v.clear, ok
}

// flatsOf gives the sightings of the flat's rim among pts.
func flatsOf(pts []sighting) (flats []sighting) {
	for _, s := range pts {
		if s.flat {
			flats = append(flats, s)
		}
	}
	return flats
}
