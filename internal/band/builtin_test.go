package band_test

import (
	"testing"

	"saponym/internal/band"
	"saponym/templates"
)

// builtin reads the template and the look that come with the program. Neither
// may have a finding.
func builtin(t testing.TB) (band.Template, band.Look) {
	t.Helper()
	read := func(file string) []byte {
		data, err := templates.FS.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	template, found, err := band.ReadTemplate("wrap-band.yaml", read("wrap-band.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	look, more, err := band.ReadLook("courtyard.yaml", read("courtyard.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range append(found, more...) {
		t.Errorf("unexpected finding: %s", f.Text())
	}
	return template, look
}
