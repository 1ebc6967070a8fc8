package main

import (
	"context"
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strings"

	"bucktail/imaging/answer"
	"bucktail/qc"
)

// askable are the parameters of a request to measure: the flags of the command measure that say
// what stands on the photo and where. Those that write files or lay out text are not among them.
var askable = []string{
	"what", "rivet", "hole-for", "flush", "pilot", "large-dome", "card", "card-scale", "card-thickness", "sheet",
	"limits", "tap", "edge", "scale", "round",
}

// measureFor answers a request to measure as the command line does with the same words. Two
// parameters are the request's own: photo, a name to echo, and own, the builder's own limits as
// JSON where the command line takes a file.
func measureFor(_ context.Context, data []byte, q url.Values) (any, error) {
	args := []string{}
	for _, name := range slices.Sorted(maps.Keys(q)) {
		switch {
		case name == "photo" || name == "own":
			continue
		case !slices.Contains(askable, name):
			return nil, badOptions(fmt.Errorf("there is no option %q; there are %s, own and photo", name, strings.Join(askable, ", ")))
		}
		for _, v := range q[name] {
			// On the command line a limit set may be a file. A request never names a file.
			if name == "limits" {
				if _, ok := qc.FindSet(v); !ok || v == "" {
					return nil, badOptions(fmt.Errorf("limits %q is not a published set: %s", v, setNames()))
				}
			}
			args = append(args, "--"+name+"="+v)
		}
	}
	job, err := parseMeasure(append(args, "--", "photo"), nil)
	if err != nil {
		return nil, badOptions(err)
	}
	o := job.options
	o.Photo = q.Get("photo")
	if own := q.Get("own"); own != "" {
		if o.Spec.Own, err = qc.ReadOwnLimits(strings.NewReader(own)); err != nil {
			return nil, badOptions(fmt.Errorf("own limits: %w", err))
		}
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

func badOptions(err error) error {
	return &qc.Refusal{Code: "bad-options", Text: strings.ReplaceAll(err.Error(), "--", ""), Do: "correct it and ask again"}
}
