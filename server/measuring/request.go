package measuring

import (
	"context"
	"flag"
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strings"

	"bucktail/imaging/answer"
	"bucktail/qc"
)

// Studies gives the gauge studies of a record, in the order in which they were made.
type Studies func(context.Context) ([]qc.Proof, error)

// ByRequest answers a request to measure as the command line does with the same words. Two
// parameters are the request's own: photo, a name to echo, and own, the builder's own limits as
// JSON where the command line takes a file. Gauge studies count for the phone that took the photo, ""
// where nobody knows it. An error is a *qc.Refusal: bad-options, or about a picture that can't be
// decoded; else it is of studies.
func (studies Studies) ByRequest(ctx context.Context, data []byte, q url.Values, phone string) (any, error) {
	o, err := asked(q)
	if err != nil {
		// On the command line the words are flags.
		return nil, &qc.Refusal{Code: "bad-options", Text: strings.ReplaceAll(err.Error(), "--", ""), Do: "correct it and ask again"}
	}
	if err := studies.Count(ctx, &o, phone); err != nil {
		return nil, err
	}
	doc, err := answer.Measure(data, o)
	if err != nil {
		return nil, err
	}
	// A picture that can't be decoded has no answer; one without a card has: it says so.
	for i := range doc.Problems {
		if strings.HasPrefix(doc.Problems[i].Code, "photo-") && doc.Width == 0 {
			return nil, &doc.Problems[i]
		}
	}
	return doc, nil
}

// Count lets the gauge studies count for what a phone took; nothing is said of them where there are none.
func (studies Studies) Count(ctx context.Context, o *answer.Options, phone string) error {
	ps, err := studies(ctx)
	if len(ps) > 0 {
		o.Proofs, o.Device = ps, phone
	}
	return err
}

// asked reads the parameters. A request never names a file.
func asked(q url.Values) (answer.Options, error) {
	f := flag.NewFlagSet("measure", flag.ContinueOnError)
	words := Register(f)
	for _, name := range slices.Sorted(maps.Keys(q)) {
		switch {
		case name == "photo" || name == "own":
			continue
		case f.Lookup(name) == nil:
			var known []string
			f.VisitAll(func(f *flag.Flag) { known = append(known, f.Name) })
			return answer.Options{}, fmt.Errorf("there is no option %q; there are %s, own and photo", name, strings.Join(known, ", "))
		}
		for _, v := range q[name] {
			if err := f.Set(name, v); err != nil {
				return answer.Options{}, fmt.Errorf("%s %q: %w", name, v, err)
			}
		}
	}
	o, err := words.Options()
	if err != nil {
		return o, err
	}
	o.Photo = q.Get("photo")
	if own := q.Get("own"); own != "" {
		if o.Spec.Own, err = qc.ReadOwnLimits(strings.NewReader(own)); err != nil {
			return o, fmt.Errorf("own limits: %w", err)
		}
	}
	return o, nil
}
