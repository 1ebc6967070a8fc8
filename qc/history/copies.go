package history

import "encoding/json"

// Copies names, by the SHA-256 of a photo, the SHA-256 of its copy without location data, as the
// writer's device made it: so that a bundle, which holds copies alone, can't give one photo for
// another. Entries from before devices named them have none.
type Copies map[string]string

// Copies gives the copies that the entry names of its photos.
func (e Entry) Copies() Copies {
	var d struct {
		Copies Copies `json:"copies"`
	}
	if json.Unmarshal(e.Data, &d) != nil { // of a kind that means something else by it
		return nil
	}
	return d.Copies
}

// copies holds names of copies against what they must say.
func (c *checker) copies(of Copies) {
	c.need(len(of) <= maxList, "%d copies of photos are more than %d", len(of), maxList)
	for photo, copied := range of {
		c.photo("photo", photo, true)
		c.photo("copy of a photo", copied, true)
	}
}
