package main

import (
	"bucktail/pwa/wasm/bridge"
	"bucktail/qc/paper/checkline"
)

// checkLinesIn is what was measured on a printed sheet; uncertainties are expanded ones (k = 2).
type checkLinesIn struct {
	AcrossMM    float64 `json:"across_mm"`
	AlongMM     float64 `json:"along_mm"`
	UMM         float64 `json:"u_mm"`
	ThicknessMM float64 `json:"thickness_mm"`
	ThickUMM    float64 `json:"thickness_u_mm"`
}

func init() {
	// check-lines refuses a sheet that can't measure, in words that say what went wrong in printing.
	bridge.On("check-lines", func(in checkLinesIn, _ []byte) (any, error) {
		s, err := checkline.Judge(in.AcrossMM, in.AlongMM, in.UMM)
		if err != nil {
			return nil, err
		}
		if err := checkline.JudgeThickness(in.ThicknessMM, in.ThickUMM); err != nil {
			return nil, err
		}
		return map[string]float64{"across": s.Across, "along": s.Along}, nil
	})
}
