package report

import (
	"cmp"
	"slices"

	"bucktail/qc/history"
)

// signersOf lists the devices of a record that sign, by name. It tests no signature.
func signersOf(entries []history.Entry) []Signer {
	keys := history.Keys(entries)
	by, vouched, names := map[string]*Signer{}, map[string]string{}, map[string]string{}
	for _, e := range entries {
		if m, err := history.DataOf[history.MemberData](e); err == nil {
			names[m.Device] = m.Name
			if m.Key != "" {
				vouched[m.Device] = m.Key
			}
		}
		if d, err := history.DataOf[history.DeviceData](e); err == nil {
			names[e.Device] = d.Name
		}
		k, ok := keys[e.Device]
		if !ok {
			continue
		}
		s := by[e.Device]
		if s == nil {
			s = &Signer{Device: e.Device, Fingerprint: history.Fingerprint(k.Key)}
			by[e.Device] = s
		}
		if s.By, s.Role = e.By, e.Role; e.Sig != "" {
			s.Entries++
		}
	}
	var out []Signer
	for id, s := range by {
		s.Name, s.Vouched = names[id], vouched[id] == keys[id].Key
		out = append(out, *s)
	}
	slices.SortFunc(out, func(a, b Signer) int { return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Device, b.Device)) })
	return out
}
