package answer

import "bucktail/qc/history"

// FindingView is what a finding keeps of one of several photos, as [history.View] with the photo's
// number in place of its shot.
type FindingView struct {
	Photo  int             `json:"photo"`
	Used   bool            `json:"used"`
	Why    string          `json:"why,omitempty"`
	Places *history.Places `json:"places,omitempty"`
}

// FindingViews gives what the finding of each location keeps of the photos, shown being the answer as
// each photo shows it (see [Document.In]). It is nil where the first photo or all others have no part
// in it.
func FindingViews(shown []*Document) (out [][]FindingView) {
	count := 0
	for _, d := range shown {
		if d != nil {
			count++
		}
	}
	if count < 2 || shown[0] == nil {
		return nil
	}
	for l := range shown[0].Locations {
		var views []FindingView
		for i, d := range shown {
			if d == nil {
				continue
			}
			v := FindingView{Photo: i, Places: d.Places(l)}
			if v.Places != nil {
				v.Places.Spans = nil // the finding's own places have them
			}
			for _, look := range d.Locations[l].Photos {
				if look.Photo == d.Photo {
					v.Used, v.Why = look.Used, look.Why
				}
			}
			views = append(views, v)
		}
		out = append(out, views)
	}
	return out
}
