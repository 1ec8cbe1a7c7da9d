package reference

import (
	"math"
	"strings"
	"testing"
)

// The limits stand in the regimes' published tables: 42 CFR 84.170; EN 149 limits
// of 20, 6 and 1 %; GB 2626; the Korean health mask; the Japanese dust mask table;
// ASTM F3502 levels.
func TestTheLimitsAreThoseOfThePublishedTables(t *testing.T) {
	for _, c := range []struct {
		name          string
		percent, flow float64
		regime        string
	}{
		{"N95", 5, 85, "us-niosh"}, {"N99", 1, 85, "us-niosh"}, {"P100", 0.03, 85, "us-niosh"},
		{"ffp1", 20, 95, "eu-ppe"}, {"FFP 2", 6, 95, "eu-ppe"}, {"FFP-3", 1, 95, "eu-ppe"},
		{"KN95", 5, 85, "cn-gb2626"}, {"K-N100", 0.03, 85, "cn-gb2626"},
		{"KF80", 20, 95, "kr-mfds"}, {"KF94", 6, 95, "kr-mfds"},
		{"DS2", 5, 85, "jp-mhlw"}, {"RL3", 0.1, 85, "jp-mhlw"},
		{"P2", 6, 95, "au-nz"}, {"PFF2", 6, 95, "br-ca"}, {"in-bis:FFP1", 20, 95, "in-bis"},
		{"CN95", 5, 85, "ca-csa"}, {"1급", 6, 95, "kr-moel"}, {"gb 19083 grade 2", 1, 85, "cn-gb19083"},
		{"F3502 level 2", 50, 85, "us-f3502"}, {"EN 14683 type IIR", 2, 28.3, "eu-en14683"},
	} {
		got, err := ClassByName(c.name)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if math.Abs(got.LimitPenetration*100-c.percent) > 1e-9 || got.TestFlowLMin != c.flow || got.Regime != c.regime {
			t.Errorf("%s: %v %% at %v L/min of %s, want %v %% at %v L/min of %s", c.name,
				got.LimitPenetration*100, got.TestFlowLMin, got.Regime, c.percent, c.flow, c.regime)
		}
	}
}

func TestAnUnknownClassNamesTheNearest(t *testing.T) {
	_, err := ClassByName("FPP2")
	if err == nil || !strings.Contains(err.Error(), `"FFP2"`) {
		t.Errorf("got %v, want a question for FFP2", err)
	}
}

func TestASharedNameGivesEveryRegimesClass(t *testing.T) {
	if got := ClassesByName("FFP2"); len(got) != 2 || got[0].Regime != "eu-ppe" || got[1].Regime != "in-bis" {
		t.Errorf("FFP2 is %+v, want the European and the Indian one", got)
	}
}
