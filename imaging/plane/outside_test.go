package plane

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"bucktail/imaging/card"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
)

func readJSON(t *testing.T, path string, v any) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err == nil {
		err = json.Unmarshal(b, v)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// The rings' images against OpenCV's ellipses of their outer borders, which it finds by a
// contour at the half level, on the same photos (testdata/opencv/rings.py). A circle's
// image is an ellipse whose middle is not the image of the circle's middle, so ours is
// drawn from the fitted camera and fitted in turn.
func TestRingsAgainstOpenCV(t *testing.T) {
	var file struct {
		Photos map[string]struct {
			Layout  string
			Centres [][2]float64  `json:"ring_centres_px"`
			Axes    [][2]float64  `json:"ring_axes_px"`
			H       [3][3]float64 `json:"homography_mm_to_px"`
			RMS     float64       `json:"residual_px_rms"`
		}
	}
	readJSON(t, "../../testdata/opencv/rings.json", &file)
	if len(file.Photos) != len(devPhotos) {
		t.Fatalf("%d photos", len(file.Photos))
	}
	for name, cv := range file.Photos {
		d := loadPhoto(t, name)
		pl, err := Solve(d.pic, d.match, d.opt)
		if err != nil {
			t.Fatal(err)
		}
		var mm, px []fit.Point
		sum := 0.0
		for i, tg := range pl.Layout.Targets {
			var p []fit.Point
			for k := 0; k < 36; k++ {
				sn, cs := math.Sincos(float64(k) * math.Pi / 18)
				r := card.RingOuterRadiusMM + pl.InkGainMM
				q := pl.ToPx(pl.CardToSheet(geom.CardPoint{X: tg.At.X + r*cs, Y: tg.At.Y + r*sn}), pl.Options.ThicknessMM)
				p = append(p, fit.Point{X: q.U, Y: q.V})
			}
			e, err := fit.EllipseDirect(p)
			if err != nil {
				t.Fatal(err)
			}
			off := math.Hypot(e.X-cv.Centres[i][0], e.Y-cv.Centres[i][1])
			sum += off * off
			// Both see the same pixels, but OpenCV one border of one ring, ours all at once.
			if off > 0.15 {
				t.Errorf("%s: ring %d lies %.3f px from OpenCV's", name, i, off)
			}
			if a, b := 2*e.B()-cv.Axes[i][0], 2*e.A()-cv.Axes[i][1]; math.Abs(a) > 0.35 || math.Abs(b) > 0.35 {
				t.Errorf("%s: ring %d: axes differ from OpenCV's by %.3f and %.3f px", name, i, a, b)
			}
			mm = append(mm, fit.Point(tg.At))
			px = append(px, fit.Point{X: cv.Centres[i][0], Y: cv.Centres[i][1]})
		}
		rms := math.Sqrt(sum / float64(len(mm)))
		t.Logf("%s: rings %.3f px from OpenCV's", name, rms)
		if rms > 0.08 {
			t.Errorf("%s: rings %.3f px from OpenCV's", name, rms)
		}
		// The same homography from the same points.
		h, err := fit.Homography(mm, px)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(h.RMS-cv.RMS) > 1e-4 {
			t.Errorf("%s: homography residual %.6f px, OpenCV's %.6f", name, h.RMS, cv.RMS)
		}
		ref := fit.H{cv.H[0][0], cv.H[0][1], cv.H[0][2], cv.H[1][0], cv.H[1][1], cv.H[1][2], cv.H[2][0], cv.H[2][1], cv.H[2][2]}
		for _, p := range mm {
			a, b := h.H.Apply(p), ref.Apply(p)
			if e := math.Hypot(a.X-b.X, a.Y-b.Y); e > 2e-3 {
				t.Errorf("%s: homographies differ by %.2g px", name, e)
			}
		}
	}
}

// Pixels to millimetres on a photographed chessboard of 30 mm squares: the residuals of our
// homography and of our camera fit against those of OpenCV's on the same corners, which the
// board's own flatness and the corners' noise set.
func TestChessboard(t *testing.T) {
	for _, name := range []string{"boof_chess_frame01", "boof_chess_frame08"} {
		var b struct {
			Px           [][2]float64  `json:"corners_px"`
			MM           [][2]float64  `json:"corners_mm"`
			RMS          float64       `json:"residual_mm_rms"`
			Undistorted  float64       `json:"residual_undistorted_mm_rms"`
			CameraMatrix [3][3]float64 `json:"camera_matrix"`
		}
		readJSON(t, "../../testdata/boards/"+name+".truth.json", &b)
		var px, mm []fit.Point
		for i := range b.Px {
			px = append(px, fit.Point{X: b.Px[i][0], Y: b.Px[i][1]})
			mm = append(mm, fit.Point{X: b.MM[i][0], Y: b.MM[i][1]})
		}
		h, err := fit.Homography(px, mm)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(h.RMS-b.RMS) > 0.01*b.RMS {
			t.Errorf("%s: homography leaves %.4f mm, OpenCV's %.4f", name, h.RMS, b.RMS)
		}
		// With one lens term fitted to this one frame our camera must take out most of what a
		// homography leaves; OpenCV's five terms, calibrated over 13 frames, leave 0.06 to 0.1.
		var pts []pointPair
		for i := range px {
			pts = append(pts, pointPair{b.MM[i], b.Px[i]})
		}
		k := b.CameraMatrix
		pr := prior{logF: math.Log(k[0][0]), logFU: 0.05, centreU: 8, gainU: 0.15, k1U: 0.3}
		v := fitPoints(t, pts, pr, k[0][2], k[1][2])
		cam := v.camera()
		sum := 0.0
		for _, p := range pts {
			s := cam.ToSheet(geom.PxPoint{U: p.px[0], V: p.px[1]}, 0)
			sum += (s.X-p.mm[0])*(s.X-p.mm[0]) + (s.Y-p.mm[1])*(s.Y-p.mm[1])
		}
		rms := math.Sqrt(sum / float64(len(pts)))
		t.Logf("%s: homography %.3f mm, camera %.3f mm (OpenCV %.3f and %.3f), k1 %.3f", name, h.RMS, rms, b.RMS, b.Undistorted, v.k1)
		if rms > 0.1 || rms > 0.4*h.RMS {
			t.Errorf("%s: the camera leaves %.4f mm of %.4f", name, rms, h.RMS)
		}
	}
}

// Zhang's published planar data: the first three squares of images 1 to 3, with his camera
// and poses (Z. Zhang, Microsoft Research MSR-TR-98-71, data page).
func TestZhangPlanarCalibration(t *testing.T) {
	var z struct {
		Intrinsics struct{ Alpha, Beta, U0, V0 float64 }
		Poses      []struct {
			R [3][3]float64
			T [3]float64
		}
		Model  [][][2]float64   `json:"model_points_first_three_squares_in"`
		Images [][][][2]float64 `json:"image_points_first_three_squares_px"`
		Check  struct {
			RMS []float64 `json:"reprojection_rms_px_12_points"`
		}
	}
	readJSON(t, "../../testdata/published/zhang-calibration.json", &z)
	if len(z.Images) != 3 {
		t.Fatalf("%d images", len(z.Images))
	}
	points := 0
	for i, image := range z.Images {
		var pts []pointPair
		for s, square := range image {
			for c, px := range square {
				pts = append(pts, pointPair{z.Model[s][c], px})
			}
		}
		points += len(pts)
		// His focal lengths differ by 0.004 %, his skew is 0.014°: a camera of ours.
		pr := prior{logF: math.Log(z.Intrinsics.Alpha), logFU: 0.002, centreU: 1, gainU: 0.15, k1U: 0.3}
		v := fitPoints(t, pts, pr, z.Intrinsics.U0, z.Intrinsics.V0)
		sum := 0.0
		var p projection
		for _, q := range pts {
			v.project(q.mm[0], q.mm[1], 0, &p, false)
			sum += (p.u-q.px[0])*(p.u-q.px[0]) + (p.v-q.px[1])*(p.v-q.px[1])
		}
		rms := math.Sqrt(sum / float64(len(pts)))
		// His poses are of 256 points; ours of these 12 must not fit them worse.
		if rms > z.Check.RMS[i] {
			t.Errorf("image %d: %.3f px, the published parameters leave %.3f", i+1, rms, z.Check.RMS[i])
		}
		c := v.camera()
		angle := angleBetween(&c.R, &z.Poses[i].R) * 180 / math.Pi
		off := 0.0
		for k := range c.T {
			off = math.Hypot(off, c.T[k]-z.Poses[i].T[k])
		}
		t.Logf("image %d: %.3f px (published %.3f), pose off by %.2f° and %.2f %%, k1 %.3f", i+1, rms, z.Check.RMS[i], angle, 100*off/norm3(z.Poses[i].T), v.k1)
		// Twelve corners on a strip at the picture's edge fix the pose to a few degrees.
		if angle > 4 || off > 0.04*norm3(z.Poses[i].T) {
			t.Errorf("image %d: pose off by %.2f° and %.3f in", i+1, angle, off)
		}
	}
	if points != 36 {
		t.Errorf("%d points", points)
	}
}

type pointPair struct{ mm, px [2]float64 }

// fitPoints fits the camera to points of the plane z = 0.
func fitPoints(t *testing.T, pts []pointPair, pr prior, cu, cv float64) view {
	t.Helper()
	var p, q []fit.Point
	var ob []obs
	var mid [2]float64
	for _, c := range pts {
		p, q = append(p, fit.Point{X: c.mm[0], Y: c.mm[1]}), append(q, fit.Point{X: c.px[0], Y: c.px[1]})
		mid[0], mid[1] = mid[0]+c.mm[0]/float64(len(pts)), mid[1]+c.mm[1]/float64(len(pts))
		ob = append(ob,
			obs{x: c.mm[0], y: c.mm[1], nu: 1, u: c.px[0], v: c.px[1], weight: 1},
			obs{x: c.mm[0], y: c.mm[1], nv: 1, u: c.px[0], v: c.px[1], weight: 1})
	}
	h, err := fit.Homography(p, q)
	if err != nil {
		t.Fatal(err)
	}
	fr := frame{pivot: [3]float64{mid[0], mid[1], 0}, midU: cu, midV: cv}
	r, tr, ok := startPose(&h.H, math.Exp(pr.logF), cu, cv, geom.SheetPoint{X: mid[0], Y: mid[1]})
	if !ok {
		t.Fatal("no start")
	}
	fr.base = r
	pb := problem{frame: fr, prior: pr, obs: ob, sigma: 0.2}
	x := [nParams]float64{pPos: tr[0], pPos + 1: tr[1], pPos + 2: tr[2], pLogF: pr.logF, pCx: cu, pCy: cv}
	if res := fit.LevenbergMarquardt(x[:], fit.NewNormal(nParams), 200, 1e-8, pb.rows); math.IsInf(res.Cost, 0) {
		t.Fatal("no fit")
	}
	return fr.view(x[:])
}
