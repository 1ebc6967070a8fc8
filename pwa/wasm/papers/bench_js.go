package main

import (
	"bufio"
	"fmt"
	"time"

	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/bend"
	"bucktail/qc/layout"
	"bucktail/qc/paper"
	"bucktail/qc/template"
)

// templateIn is what a page at 1:1 is made of: one of the helpers' inputs.
type templateIn struct {
	Paper  string        `json:"paper"` // a4 or letter
	Units  qc.Units      `json:"units"`
	Layout *layout.Input `json:"layout,omitempty"`
	Bend   *bend.Input   `json:"bend,omitempty"`
}

func (in templateIn) page() (template.Page, error) {
	switch {
	case in.Layout != nil:
		in.Layout.Units = in.Units
		a, err := layout.Lay(*in.Layout)
		if err != nil {
			return template.Page{}, err
		}
		return template.OfLayout(*in.Layout, a, in.Units), nil
	case in.Bend != nil:
		in.Bend.Units = in.Units
		f, err := bend.Flatten(*in.Bend)
		if err != nil {
			return template.Page{}, err
		}
		return template.OfBend(*in.Bend, f, in.Units), nil
	}
	return template.Page{}, fmt.Errorf("a template of nothing")
}

func init() {
	bridge.OnWaiting("template", func(in templateIn) (any, error) {
		size, err := paper.ParseSize(in.Paper)
		if err != nil {
			return nil, err
		}
		p, err := in.page()
		if err != nil {
			return nil, err
		}
		w := bufio.NewWriterSize(pieces{}, pieceBytes)
		if err := template.Write(w, p, template.Options{Paper: size, Made: time.Now()}); err != nil {
			return nil, err
		}
		return bridge.None{}, w.Flush()
	})
}
