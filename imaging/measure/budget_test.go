package measure

import (
	"testing"

	"bucktail/qc"
)

// Whoever adds a kind is told here that its readings have no budget yet: all of them would be
// taken for exact.
func TestEveryKindHasABudget(t *testing.T) {
	for _, k := range qc.Kinds {
		if u := contourUs[k]; u.dia <= 0 || u.diaPx <= 0 || u.pos <= 0 || u.posPx <= 0 {
			t.Errorf("%s: %+v", k, u)
		}
	}
}
