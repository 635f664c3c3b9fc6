package band_test

import (
	"slices"
	"strings"
	"testing"

	"saponym/internal/band"
	"saponym/internal/finding"
	"saponym/internal/source"
	"saponym/templates"
)

var changeTests = []struct {
	name, file, old, new string
	rule                 string
}{
	{"unknown key", "wrap-band.yaml", "ease:", "eas:", source.RuleUnknown},
	{"missing value", "wrap-band.yaml", "  tab: 12 mm", "  # tab", band.RuleTemplate},
	{"length without a unit", "wrap-band.yaml", "tab: 12 mm", "tab: 12", source.RuleAmount},
	{"breadth over the most", "wrap-band.yaml", "share: 65%", "share: 85%", band.RuleTemplate},
	{"least over the usual height", "wrap-band.yaml", "least: 1.2 mm", "least: 2 mm", band.RuleTemplate},
	{"lines that touch", "wrap-band.yaml", "[1.12, 1.10]", "[1.12, 0.9]", band.RuleTemplate},
	{"duty misspelt", "wrap-band.yaml", "[batch, durability]", "[bacth, durability]", band.RuleTemplate},
	{"duty placed twice", "wrap-band.yaml", "[batch, durability]", "[batch, caution]", band.RuleTemplate},
	{"unknown ornament", "courtyard.yaml", "draws: courtyard", "draws: courtyrd", source.RuleWord},
	{"unknown face", "courtyard.yaml", "face: yrsa-bold", "face: yrsa-bald", band.RuleTemplate},
	{"unknown motif", "courtyard.yaml", "[petals, star", "[petals, sun", band.RuleTemplate},
	{"colour without a mark", "courtyard.yaml", `"#BC5114"`, `"BC5114"`, band.RuleTemplate},
	{"tile out of bounds", "courtyard.yaml", "side: 5.2 mm", "side: 9 mm", band.RuleTemplate},
	{"size without a unit", "courtyard.yaml", "most: 33 pt", "most: 33", source.RuleAmount},
}

func TestTemplatesAreReadStrictly(t *testing.T) {
	for _, tt := range changeTests {
		t.Run(tt.name, func(t *testing.T) {
			data, err := templates.FS.ReadFile(tt.file)
			if err != nil {
				t.Fatal(err)
			}
			changed := strings.Replace(string(data), tt.old, tt.new, 1)
			if changed == string(data) {
				t.Fatalf("%q is not in %s", tt.old, tt.file)
			}
			var found []finding.Finding
			if tt.file == "wrap-band.yaml" {
				_, found, err = band.ReadTemplate(tt.file, []byte(changed))
			} else {
				_, found, err = band.ReadLook(tt.file, []byte(changed))
			}
			if err != nil {
				t.Fatal(err)
			}
			if !slices.ContainsFunc(found, func(f finding.Finding) bool {
				return f.Rule == tt.rule && f.Level == finding.Stop && f.At.Line > 0
			}) {
				t.Errorf("findings %v, want a stop of %s with its place", found, tt.rule)
			}
		})
	}
}

func TestNoTemplate(t *testing.T) {
	if _, _, err := band.ReadTemplate("x.yaml", []byte("- a\n")); err == nil {
		t.Error("a list was read as a template")
	}
	if _, _, err := band.ReadLook("x.yaml", nil); err == nil {
		t.Error("nothing was read as a look")
	}
}
