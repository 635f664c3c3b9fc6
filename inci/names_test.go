package inci_test

import (
	"strings"
	"testing"

	"saponym/inci"
)

// Soap names as they stand in the European list (CosIng, export of 30 December
// 2020), and the names that it lacks. Listed for one metal is not listed for the
// other.
func TestSoapNames(t *testing.T) {
	const listed, analogy = inci.Listed, inci.FormedByAnalogy
	for _, tt := range []struct {
		id              string
		sodium          string
		sodiumStatus    inci.Status
		potassium       string
		potassiumStatus inci.Status
	}{
		{"olive-oil", "Sodium Olivate", listed, "Potassium Olivate", listed},
		{"coconut-oil", "Sodium Cocoate", listed, "Potassium Cocoate", listed},
		{"palm-oil", "Sodium Palmate", listed, "Potassium Palmate", listed},
		{"palm-kernel-oil", "Sodium Palm Kernelate", listed, "Potassium Palm Kernelate", listed},
		{"babassu-oil", "Sodium Babassuate", listed, "Potassium Babassuate", listed},
		{"castor-oil", "Sodium Castorate", listed, "Potassium Castorate", listed},
		{"beef-tallow", "Sodium Tallowate", listed, "Potassium Tallowate", listed},
		{"lard", "Sodium Lardate", listed, "Potassium Lardate", analogy},
		{"sunflower-oil", "Sodium Sunflowerseedate", listed, "Potassium Sunflowerseedate", listed},
		{"grapeseed-oil", "Sodium Grapeseedate", listed, "Potassium Grapeseedate", analogy},
		{"mango-butter", "Sodium Mangoseedate", listed, "Potassium Mangoseedate", analogy},
		{"tamanu-oil", "Sodium Tamanuseedate", listed, "Potassium Tamanuseedate", analogy},
		{"macadamia-oil", "Sodium Macadamiaseedate", listed, "Potassium Macadamiate", listed},
		{"shea-butter", "Sodium Shea Butterate", listed, "Potassium Shea Butterate", listed},
		{"cocoa-butter", "Sodium Cocoa Butterate", listed, "Potassium Cocoa Butterate", analogy},
		{"sweet-almond-oil", "Sodium Sweet Almondate", listed, "Potassium Sweet Almondate", analogy},
		{"murumuru-butter", "Sodium Astrocaryum Murumuruate", listed, "Potassium Astrocaryum Murumuruate", analogy},
		{"cupuacu-butter", "Sodium Theobroma Grandiflorum Seedate", listed, "Potassium Theobroma Grandiflorum Seedate", analogy},
		{"beeswax", "Sodium Beeswax", listed, "Potassium Beeswax", analogy},
		{"palmitic-acid", "Sodium Palmitate", listed, "Potassium Palmitate", listed},
		// Listed as potassium soaps only.
		{"borage-oil", "Sodium Borageate", analogy, "Potassium Borageate", listed},
		{"camellia-oil", "Sodium Camelliate", analogy, "Potassium Camelliate", listed},
		{"corn-oil", "Sodium Cornate", analogy, "Potassium Cornate", listed},
		{"hempseed-oil", "Sodium Hempseedate", analogy, "Potassium Hempseedate", listed},
		{"jojoba-oil", "Sodium Jojobate", analogy, "Potassium Jojobate", listed},
		{"laurel-berry-oil", "Sodium Laurus Nobilate", analogy, "Potassium Laurus Nobilate", listed},
		{"flaxseed-oil", "Sodium Linseedate", analogy, "Potassium Linseedate", listed},
		{"fractionated-coconut-oil", "Sodium Caprylate/Caprate", analogy, "Potassium Caprylate/Caprate", listed},
	} {
		f := mustFat(t, tt.id)
		if na := f.Salt(inci.Sodium); na.Text != tt.sodium || na.Status != tt.sodiumStatus {
			t.Errorf("%s: sodium soap %q (%s), want %q (%s)", tt.id, na.Text, na.Status, tt.sodium, tt.sodiumStatus)
		}
		if k := f.Salt(inci.Potassium); k.Text != tt.potassium || k.Status != tt.potassiumStatus {
			t.Errorf("%s: potassium soap %q (%s), want %q (%s)", tt.id, k.Text, k.Status, tt.potassium, tt.potassiumStatus)
		}
		if other := f.Salt("calcium"); other.Given() {
			t.Errorf("%s: a calcium soap %q", tt.id, other.Text)
		}
	}
}

// A name is listed and was seen, or it is formed by analogy and says so; and it
// begins with its metal. Counts are those of the export.
func TestEverySoapName(t *testing.T) {
	listed := map[inci.Metal]int{}
	check := func(of string, metal inci.Metal, prefix string, s inci.Salt) {
		if !strings.HasPrefix(s.Text, prefix) {
			t.Errorf("%s: the %s soap is called %q", of, metal, s.Text)
		}
		seen := s.Status == inci.Listed && s.Known == inci.Retrieved && s.Source == "COSING"
		formed := s.Status == inci.FormedByAnalogy && s.Known == inci.Analogy && s.Source == "ANALOGY"
		if seen == formed {
			t.Errorf("%s: %q has the status %q, is known %q, from %q", of, s.Text, s.Status, s.Known, s.Source)
		}
		if formed && s.CAS != "" {
			t.Errorf("%s: %q is on no list and has the CAS number %s", of, s.Text, s.CAS)
		}
		if seen {
			listed[metal]++
		}
	}
	for f := range inci.Fats() {
		check(f.ID, inci.Sodium, "Sodium ", f.SodiumSalt)
		check(f.ID, inci.Potassium, "Potassium ", f.PotassiumSalt)
	}
	if listed[inci.Sodium] != 44 || listed[inci.Potassium] != 39 {
		t.Errorf("%d sodium and %d potassium names of fats are listed, want 44 and 39", listed[inci.Sodium], listed[inci.Potassium])
	}
	clear(listed)
	for a := range inci.Acids() {
		if a.SodiumSalt.Given() {
			check(a.Code, inci.Sodium, "Sodium ", a.SodiumSalt)
			check(a.Code, inci.Potassium, "Potassium ", a.PotassiumSalt)
		}
	}
	if listed[inci.Sodium] != 14 || listed[inci.Potassium] != 13 {
		t.Errorf("%d sodium and %d potassium names of acids are listed, want 14 and 13", listed[inci.Sodium], listed[inci.Potassium])
	}
}

// Three EU names of fats are not in the export, and six of others were not
// looked up there; all others were found.
func TestNamesNotInTheList(t *testing.T) {
	want := map[string]inci.Status{
		"mustard-oil": inci.NotInTheList, "chicken-fat": inci.NotInTheList, "goose-fat": inci.NotInTheList,
		"lactose": "", "malic-acid": "", "glycolic-acid": "",
		"clove-leaf-oil": "", "cinnamon-bark-oil": "", "coriander-seed-oil": "",
	}
	for s := range inci.All() {
		status, recalled := want[s.ID]
		if !recalled {
			status = inci.Listed
		}
		if s.EU.Status != status || recalled != (s.EU.Known == inci.Memory) {
			t.Errorf("%s: %q has the status %q and is known %q, want %q", s.ID, s.EU.Text, s.EU.Status, s.EU.Known, status)
		}
	}
}

// A further name is on the list, or it is from memory and has no status.
func TestOtherNames(t *testing.T) {
	for id, want := range map[string]inci.Name{
		"neem-oil":       {Text: "Azadirachta Indica Seed Oil", Status: inci.Listed, Source: "COSING", Known: inci.Retrieved},
		"lemongrass-oil": {Text: "Cymbopogon Flexuosus Oil", Source: "COSING", Known: inci.Memory},
	} {
		if s, _ := inci.ByID(id); len(s.OtherINCI) == 0 || s.OtherINCI[0] != want {
			t.Errorf("%s: got %+v, want %+v first", id, s.OtherINCI, want)
		}
	}
}

// The names of the Canadian schedule (Cosmetic Regulations, C.R.C. c. 869).
func TestTrivialNames(t *testing.T) {
	for _, tt := range []struct{ word, eu, inci, french string }{
		{"Aqua", "Aqua", "Water", "Eau"},
		{"Cire d'abeille", "Cera Alba", "Beeswax", "Cire d’abeille"},
		{"beeswax", "Cera Alba", "Beeswax", "Cire d’abeille"},
		{"Lait de chevre", "Caprae Lac", "Goat Milk", "Lait de chèvre"},
		{"OEUF", "Ovum", "Egg", "Œuf"},
		{"Fuller's Earth", "Solum Fullonum", "Fuller’s Earth", "Terre à foulon"},
		{"Cod Liver Oil", "Gadi Lecur Oil", "Cod Liver Oil", "Huile de foie de morue"},
	} {
		if n, ok := inci.TrivialByName(tt.word); !ok || n.EU != tt.eu || n.INCI != tt.inci || n.French != tt.french {
			t.Errorf("%q: got %+v", tt.word, n)
		}
	}
	if n, ok := inci.TrivialByName("Cera Flava"); ok {
		t.Errorf("Cera Flava is not in the schedule: got %+v", n)
	}
	absent := 0
	for n := range inci.TrivialNames() {
		if !n.In2020Export {
			absent++
		}
	}
	if absent != 2 {
		t.Errorf("%d EU names of the schedule are not in the export, want 2: Gadi Lecur Oil and Pix", absent)
	}
}

func TestFrenchNames(t *testing.T) {
	for id, want := range map[string]string{
		"water": "Eau", "honey": "Miel", "fragrance": "Parfum", "milk-powder": "Lait entier en poudre",
		"beeswax": "Cire d’abeille", "beef-tallow": "Suif", "neatsfoot-oil": "Huile de pied de bœuf", "olive-oil": "",
		"fullers-earth": "Terre à foulon", "candelilla-wax": "Cire de candelilla",
	} {
		if s, ok := inci.ByID(id); !ok || s.French.Text != want {
			t.Errorf("%s: got %q, want %q", id, s.French.Text, want)
		}
	}
	// The schedule and the substances say the same.
	for s := range inci.All() {
		if n, ok := inci.TrivialByName(s.US.Text); ok && n.French != s.French.Text {
			t.Errorf("%s: French name %q, in the schedule %q", s.ID, s.French.Text, n.French)
		}
	}
}
