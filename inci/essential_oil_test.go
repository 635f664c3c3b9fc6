package inci_test

import (
	"testing"

	"saponym/inci"
)

// Figures of the compositions, compared with the texts that they come from.
func TestEssentialOils(t *testing.T) {
	for _, tt := range []struct {
		oil, name string
		low, high float64
		known     inci.Known
	}{
		// Ph. Eur. 10th ed. and ISO 3515:2002, in Molecules 2022, 27, 3216, Table 2
		{"lavender-oil", "Linalool", 20, 45, inci.Retrieved},
		{"lavender-oil", "Linalyl Acetate", 25, 47, inci.Retrieved},
		{"lavender-oil", "Coumarin", 0, 0.1, inci.Memory}, // from memory
		// Ph. Eur. 6.2
		{"sweet-orange-oil", "Limonene", 92, 97, inci.Retrieved},
		{"lemon-oil", "Citral", 0.8, 3.8, inci.Retrieved}, // geranial 0.5-2.3, neral 0.3-1.5
		{"lemon-oil", "Pinene", 8.4, 20, inci.Memory},     // beta 7-17; alpha 1.4-3 from memory
		// Implementing Regulation (EU) 2022/593: geranial 36-45, neral 25-35
		{"may-chang-oil", "Citral", 61, 80, inci.Retrieved},
		// ISO 4730, in Oral & Implantology 2017, 10(1), 59-70, Table 1
		{"tea-tree-oil", "Alpha-Terpinene", 5, 13, inci.Retrieved},
		// British Pharmacopoeia, as quoted by an industry body
		{"eucalyptus-oil", "Camphor", 0, 0.1, inci.Retrieved},
		// de Groot and Schmidt, 201 commercial samples
		{"clove-leaf-oil", "Eugenol", 75.7, 89.1, inci.Retrieved},
		// EFSA FEEDAP 2023, abstract: up to 0.13 % of methyl eugenol in oils of clove
		{"clove-leaf-oil", "Methyl Eugenol", 0, 0.13, inci.Retrieved},
		{"clove-oil", "Methyl Eugenol", 0, 0.13, inci.Retrieved},
		{"clove-oil", "Eugenol", 75, 88, inci.Memory}, // Ph. Eur., from memory
		// Implementing Regulation (EU) 2022/347
		{"petitgrain-oil", "Linalyl Acetate", 40, 72, inci.Retrieved},
		// Implementing Regulation (EU) 2024/2427
		{"coriander-seed-oil", "Linalool", 65, 78, inci.Retrieved},
		// ISO 4731:1972, 35-58; 18-43 by gas chromatography from memory
		{"geranium-oil", "Citronellol", 18, 58, inci.Memory},
		{"ylang-ylang-oil", "Benzyl Benzoate", 2, 14, inci.Memory}, // from memory
	} {
		oil, ok := inci.EssentialOilByID(tt.oil)
		found := false
		for _, c := range oil.Constituents {
			if c.Name == tt.name {
				found = true
				if c.Low != tt.low || c.High != tt.high || c.Known != tt.known {
					t.Errorf("%s in %s: %v to %v %%, %s; want %v to %v %%, %s", tt.name, tt.oil, c.Low, c.High, c.Known, tt.low, tt.high, tt.known)
				}
			}
		}
		if !ok || !found {
			t.Errorf("no %s in %s", tt.name, tt.oil)
		}
	}
}

// Every composition can be one of an oil, and is one of an essential oil.
func TestEveryEssentialOil(t *testing.T) {
	for oil := range inci.EssentialOils() {
		s, ok := inci.ByID(oil.ID)
		if !ok || s.Group != inci.GroupEssentialOil {
			t.Errorf("%s is no essential oil", oil.ID)
		}
		if again, ok := inci.EssentialOilByID(oil.ID); !ok || again.ID != oil.ID || len(oil.Constituents) == 0 {
			t.Errorf("%s is not found again, or has no constituents", oil.ID)
		}
		least, names := 0.0, map[string]bool{}
		for _, c := range oil.Constituents {
			least += c.Low
			if !(0 <= c.Low && c.Low <= c.High && 0 < c.High && c.High <= 100) {
				t.Errorf("%s in %s: from %v to %v %%", c.Name, oil.ID, c.Low, c.High)
			}
			if c.Name == "" || names[c.Name] {
				t.Errorf("%s: the name %q stands twice or is none", oil.ID, c.Name)
			}
			names[c.Name] = true
		}
		if least > 100 {
			t.Errorf("%s: at least %v %% together", oil.ID, least)
		}
	}
}

// What has no composition of its own finds none: an oil of which none is published here,
// another substance, and a slip.
func TestNoEssentialOil(t *testing.T) {
	for _, id := range []string{"cedarwood-atlas-oil", "olive-oil", "fragrance", "lavendar-oil", ""} {
		if oil, ok := inci.EssentialOilByID(id); ok {
			t.Errorf("%q finds %s", id, oil.ID)
		}
	}
	if oil, ok := inci.EssentialOilByID("Tea tree oil"); !ok || oil.ID != "tea-tree-oil" {
		t.Errorf("spaces in the place of hyphens: got %q", oil.ID)
	}
}
