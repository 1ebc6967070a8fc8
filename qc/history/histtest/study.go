package histtest

import (
	"bucktail/qc"
	"bucktail/qc/gaugestudy"
	"bucktail/qc/history"
)

// Study is a gauge study of five driven heads on three photos by a device, times as far off as U says.
func Study(device, photo string, times float64) history.StudyData {
	d := history.StudyData{Setup: qc.Setup{Device: device, Camera: "Maker Model", Sheet: "corner 2", Layout: "corner", Kind: qc.ShopHead},
		Size: "6", Light: "bench lamp", Instrument: "calipers", Method: "test 1", Photos: []string{photo, photo, photo}}
	for i, name := range []string{"1", "2", "3", "4", "5"} {
		o := gaugestudy.Object{Name: name, ReferenceMM: 7 + float64(i)/10, UMM: 0.02}
		for j := range d.Photos {
			o.ReadMM = append(o.ReadMM, o.ReferenceMM+times*0.02*float64((i+j)%3-1))
			o.ReadUMM = append(o.ReadUMM, 0.08)
		}
		d.Objects = append(d.Objects, o)
	}
	r, err := gaugestudy.Judge(d.Input)
	if err != nil {
		panic(err)
	}
	d.Result = r
	return d
}
