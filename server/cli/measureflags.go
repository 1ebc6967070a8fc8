package cli

import (
	"errors"
	"flag"
	"io"
	"os"

	"bucktail/imaging/answer"
	"bucktail/qc"
	"bucktail/server/measuring"
)

// measureJob is what the command line of measure asks for.
type measureJob struct {
	photos   []string
	options  answer.Options
	units    qc.Units
	json     bool
	together bool
	short    bool
	annotate annotateTo
}

const measureUsage = `measure --what KIND --rivet SIZE [FLAGS] PHOTO...

Measures the fasteners on each photo by the scale card that lies beside them,
and holds the readings against limits. Places (u,v) are pixels of the upright
photo, from its top left. A photo named - is read from standard input.

Exit status: 0 everything was measured, 1 something was not (said which and
why), 2 wrong usage.
`

// parseMeasure reads the command line. Flags and photos may stand in any order; after -- all
// are photos. The error tells what to write instead; flag.ErrHelp after help was shown.
func parseMeasure(args []string, help io.Writer) (*measureJob, error) {
	f := newFlags("measure")
	var (
		job      measureJob
		words    = measuring.Register(f)
		units    = f.String("units", "mm", "`UNITS`: mm or in, for the table and the annotated photo")
		annotate = f.String("annotate", "", "write the photo with its dimensions to `OUT`: a .jpg or .png file, or a folder (with\nseveral photos always a folder: NAME-annotated.jpg for each); it must be there")
		data     = f.String("data", "", "`FOLDER` of a record whose gauge studies count, as they do on the phones (default: none)")
		phone    = f.String("phone", "", "`NAME` of the phone of that record that took the photos (default: by the camera that a\nphoto names)")
	)
	f.BoolVar(&job.json, "json", false, "print one JSON object for each photo, a line each, instead of the table; with --together one")
	f.BoolVar(&job.together, "together", false, "all photos are of one place: measure them together, each with the card in it, best from two\nor three sides; one answer comes of it, and a driven head's height")
	short := f.Bool("short", false, "say in three lines what is on each photo")
	full := f.Bool("v", false, "say all of it after all, where --short stands before it")
	words.Open = func(name string) (io.ReadCloser, error) { return os.Open(name) }

	photos, err := interleaved(f, args)
	if errors.Is(err, flag.ErrHelp) {
		writeHelp(help, f, measureUsage)
		return nil, flag.ErrHelp
	}
	if err != nil {
		return nil, err
	}
	job.photos, job.short = photos, *short && !*full
	if job.units, err = qc.ParseUnits(*units); err != nil {
		return nil, err
	}
	if job.options, err = words.Options(); err != nil {
		return nil, err
	}
	if len(job.photos) == 0 {
		return nil, errors.New("no photo is given")
	}
	mo := &job.options.Measure
	if len(job.photos) > 1 && (mo.Taps != nil || mo.EdgeTaps != nil || mo.TwoPoints != nil || mo.Round != nil) {
		return nil, errors.New("--tap, --edge, --scale and --round are places on one photo: give one photo with them")
	}
	if *data != "" {
		if err := countStudies(&job.options, *data, *phone); err != nil {
			return nil, err
		}
	} else if *phone != "" {
		return nil, errors.New("--phone names a phone of a record: give --data too")
	}
	job.annotate, err = annotateTargets(*annotate, job.photos)
	return &job, err
}
