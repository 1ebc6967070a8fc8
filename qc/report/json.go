package report

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
)

// Schema is the JSON Schema (2020-12) of record.json.
//
//go:embed record.schema.json
var Schema []byte

// WriteJSON writes the record as one JSON object, indented, after [Schema].
func WriteJSON(w io.Writer, rec *Record) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	if err := enc.Encode(rec); err != nil {
		return fmt.Errorf("write JSON: %w", err)
	}
	return nil
}
