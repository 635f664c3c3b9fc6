package inci

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"slices"
	"sync"
)

//go:embed data/*.json
var files embed.FS

// read decodes one of the embedded tables, strictly. A table that cannot be
// read stops the program: it is part of the program, and the tests read it.
func read[Record any](name string) []Record {
	data, err := files.ReadFile("data/" + name)
	if err != nil {
		panic(fmt.Sprintf("inci: reading %s: %v", name, err))
	}
	var records []Record
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&records); err != nil {
		panic(fmt.Sprintf("inci: reading %s: %v", name, err))
	}
	return records
}

// A fact says where a record comes from. Known is written only where it is not
// that of the source.
type fact struct {
	Source string `json:"source"`
	Known  Known  `json:"known"`
}

func (f fact) known() Known {
	if f.Known != "" || f.Source == "" {
		return f.Known
	}
	s, ok := SourceByKey(f.Source)
	if !ok {
		panic(fmt.Sprintf("inci: there is no source %q", f.Source)) // see read
	}
	return s.Known
}

// statusBySource gives the status of a name that is as sure as its source.
var statusBySource = map[string]Status{"COSING": Listed, "ANALOGY": FormedByAnalogy}

// The records of the tables, as they stand in the files.
type (
	nameRecord struct {
		Text   string `json:"text"`
		Status Status `json:"status"` // written only where it does not follow from the source
		CAS    string `json:"cas"`    // of salts and acids
		fact
	}
	casRecord struct {
		Number string `json:"number"`
		fact
	}
	figureRecord struct {
		Low  float64 `json:"low"`
		High float64 `json:"high"`
		fact
	}
	sapRecord struct {
		figureRecord
		Withheld       bool    `json:"withheld"`
		Representative float64 `json:"representative"`
		Basis          Basis   `json:"basis"`
	}
	percentRecord struct {
		Percent string `json:"percent"`
		fact
	}
	secondRecord struct {
		SAPLow         float64 `json:"sap_low"`
		SAPHigh        float64 `json:"sap_high"`
		IodineLow      float64 `json:"iodine_low"`
		IodineHigh     float64 `json:"iodine_high"` // 0 where the text gives none
		Unsaponifiable string  `json:"unsaponifiable"`
		fact
	}
	profileRecord struct {
		Percent map[string]float64 `json:"percent"`
		Other   float64            `json:"other"`
		Basis   string             `json:"basis"`
		fact
	}
	lyeRecord struct {
		Class  LyeClass `json:"class"`
		Detail string   `json:"detail"`
		fact
	}
	// A substanceRecord has what fats and other substances have in common.
	substanceRecord struct {
		ID           string       `json:"id"`
		Name         string       `json:"name"`
		AlsoCalled   []string     `json:"also_called"`
		US           nameRecord   `json:"us"`
		EU           nameRecord   `json:"eu"`
		OtherINCI    []nameRecord `json:"other_inci"`
		CAS          casRecord    `json:"cas"`
		FoodAllergen string       `json:"food_allergen"`
		Note         string       `json:"note"`
	}
	fatRecord struct {
		substanceRecord
		From           string        `json:"from"`
		Kind           Kind          `json:"kind"`
		SetsFree       ByProduct     `json:"sets_free"`
		Sodium         nameRecord    `json:"sodium"`
		Potassium      nameRecord    `json:"potassium"`
		SAP            sapRecord     `json:"sap"`
		SAPComputed    *float64      `json:"sap_computed"`
		AcidValue      figureRecord  `json:"acid_value"`
		Iodine         figureRecord  `json:"iodine"`
		IodineComputed *float64      `json:"iodine_computed"`
		Unsaponifiable percentRecord `json:"unsaponifiable"`
		Second         *secondRecord `json:"second_range"`
		Profile        profileRecord `json:"profile"`
	}
	ingredientRecord struct {
		substanceRecord
		Group       Group                 `json:"group"`
		Fat         string                `json:"fat"` // the id of the fat that is the same thing
		French      nameRecord            `json:"french"`
		InTheLye    lyeRecord             `json:"in_the_lye"`
		Neutralises *neutralisationRecord `json:"neutralises"`
		Sodium      nameRecord            `json:"sodium"` // of what neutralises
		Potassium   nameRecord            `json:"potassium"`
		Composition compositionRecord     `json:"composition"`
		MostAlkali  *sugarRecord          `json:"most_alkali"`
	}
	acidRecord struct {
		Code        string     `json:"code"`
		Common      string     `json:"common"`
		AlsoCalled  []string   `json:"also_called"`
		Systematic  string     `json:"systematic"`
		Formula     string     `json:"formula"`
		DoubleBonds int        `json:"double_bonds"`
		INCI        nameRecord `json:"inci"`
		Sodium      nameRecord `json:"sodium"`
		Potassium   nameRecord `json:"potassium"`
	}
	trivialRecord struct {
		EU           string `json:"eu"`
		US           string `json:"us"`
		French       string `json:"french"`
		In2020Export bool   `json:"in_2020_export"`
	}
	sourceRecord struct {
		Key      string `json:"key"`
		Document string `json:"document"`
		Known    Known  `json:"known"`
	}
)

func (r nameRecord) name() Name {
	status := r.Status
	if status == "" && r.Known == "" {
		status = statusBySource[r.Source]
	}
	return Name{r.Text, status, r.Source, r.known()}
}

func (r nameRecord) salt() Salt { return Salt{r.name(), r.CAS} }

func (r casRecord) number() CASNumber { return CASNumber{r.Number, r.Source, r.known()} }

func (r figureRecord) figure() Figure {
	return Figure{Low: r.Low, High: r.High, Source: r.Source, Known: r.known()}
}

func (r sapRecord) sap() SAP {
	return SAP{r.figure(), r.Representative, r.Basis, r.Withheld}
}

func (r percentRecord) figure() Figure {
	if r.Percent == "" {
		return Figure{}
	}
	low, high, err := parsePercent(r.Percent)
	if err != nil {
		panic("inci: " + err.Error()) // see read
	}
	return Figure{Low: low, High: high, Text: r.Percent, Source: r.Source, Known: r.known()}
}

func (r *secondRecord) second() SecondRange {
	if r == nil {
		return SecondRange{}
	}
	second := SecondRange{
		SAP:            figureRecord{r.SAPLow, r.SAPHigh, r.fact}.figure(),
		Unsaponifiable: percentRecord{r.Unsaponifiable, r.fact}.figure(),
	}
	if r.IodineHigh > 0 {
		second.IodineValue = figureRecord{r.IodineLow, r.IodineHigh, r.fact}.figure()
	}
	return second
}

func (r lyeRecord) inTheLye() InTheLye { return InTheLye{r.Class, r.Detail, r.Source, r.known()} }

// fromProfile is a figure that was computed from the profile of a fat.
func fromProfile(value *float64) Figure {
	if value == nil {
		return Figure{}
	}
	return Figure{Low: *value, High: *value, Source: profileKey, Known: Computed}
}

// profile puts the acids into the order of their table.
func (r profileRecord) profile() Profile {
	p := Profile{Other: r.Other, Basis: r.Basis, Source: r.Source, Known: r.known()}
	for _, a := range acids().all {
		if percent, ok := r.Percent[a.Code]; ok {
			p.Shares = append(p.Shares, AcidShare{a.Code, percent})
		}
	}
	if len(p.Shares) != len(r.Percent) {
		panic(fmt.Sprintf("inci: a profile has an acid without a record: %v", r.Percent)) // see read
	}
	return p
}

func (r substanceRecord) substance() Substance {
	s := Substance{
		ID: r.ID, Name: r.Name, AlsoCalled: r.AlsoCalled,
		US: r.US.name(), EU: r.EU.name(),
		CAS:          r.CAS.number(),
		FoodAllergen: r.FoodAllergen, Note: r.Note,
	}
	for _, other := range r.OtherINCI {
		s.OtherINCI = append(s.OtherINCI, other.name())
	}
	return s
}

func (r fatRecord) fat() Fat {
	f := Fat{
		Substance: r.substance(), From: r.From, Kind: r.Kind, SetsFree: r.SetsFree,
		SodiumSalt: r.Sodium.salt(), PotassiumSalt: r.Potassium.salt(),
		SAP: r.SAP.sap(), SAPComputed: fromProfile(r.SAPComputed),
		AcidValue:   r.AcidValue.figure(),
		IodineValue: r.Iodine.figure(), IodineComputed: fromProfile(r.IodineComputed),
		Unsaponifiable: r.Unsaponifiable.figure(),
		Second:         r.Second.second(),
		Profile:        r.Profile.profile(),
	}
	f.Group = GroupFat
	return f
}

func (r ingredientRecord) substance() Substance {
	s := r.substanceRecord.substance()
	s.Group, s.French, s.InTheLye = r.Group, r.French.name(), r.InTheLye.inTheLye()
	s.Neutralises = r.Neutralises.neutralisation(r.Sodium, r.Potassium)
	s.Composition, s.MostAlkali = r.Composition.composition(), r.MostAlkali.most()
	return s
}

func (r acidRecord) acid() Acid {
	a := Acid{
		Code: r.Code, Common: r.Common, AlsoCalled: r.AlsoCalled, Systematic: r.Systematic,
		Formula: r.Formula, DoubleBonds: r.DoubleBonds,
		INCI: r.INCI.name(), CAS: r.INCI.CAS, SodiumSalt: r.Sodium.salt(), PotassiumSalt: r.Potassium.salt(),
	}
	if _, err := fmt.Sscanf(r.Formula, "C%dH%dO%d", &a.carbons, &a.hydrogens, &a.oxygens); err != nil {
		panic(fmt.Sprintf("inci: reading the formula %q: %v", r.Formula, err)) // see read
	}
	a.MolarMass = float64(a.carbons)*AtomicWeightC + float64(a.hydrogens)*AtomicWeightH + float64(a.oxygens)*AtomicWeightO
	return a
}

// Each table is read when it is first asked for, and once.
var (
	substances   = sync.OnceValue(readSubstances)
	acids        = sync.OnceValue(readAcids)
	trivialNames = sync.OnceValue(readTrivialNames)
	sources      = sync.OnceValue(readSources)
)

// readSubstances reads all substances: the fats first, then the others, both in
// the order of their files.
func readSubstances() *table {
	t := &table{ids: map[string]int{}, names: map[string]int{}, inci: map[string][]int{}, cas: map[string][]int{}, salts: saltIndex{}}
	for _, r := range read[fatRecord]("fats.json") {
		t.fats = append(t.fats, r.fat())
	}
	ingredients := read[ingredientRecord]("ingredients.json")
	for _, r := range ingredients {
		if r.Fat != "" {
			t.mergeIntoFat(r)
		}
	}
	french := map[string]Name{}
	for _, trivial := range trivialNames().all {
		french[fold(trivial.INCI)] = Name{Text: trivial.French, Source: scheduleKey, Known: Retrieved}
	}
	for at := range t.fats {
		f := &t.fats[at]
		if !f.French.Given() {
			f.French = french[fold(f.US.Text)]
		}
		t.all = append(t.all, f.Substance)
	}
	for _, r := range ingredients {
		if r.Fat == "" {
			t.all = append(t.all, r.substance())
		}
	}
	t.index()
	t.countSugars()
	return t
}

// mergeIntoFat adds to a fat what is recorded of it as an addition to soap.
func (t *table) mergeIntoFat(r ingredientRecord) {
	at := slices.IndexFunc(t.fats, func(f Fat) bool { return f.ID == r.Fat })
	if at < 0 {
		panic(fmt.Sprintf("inci: %s names a fat %q that there is not", r.ID, r.Fat)) // see read
	}
	f := &t.fats[at]
	f.AlsoIDs = append(f.AlsoIDs, r.ID)
	f.French, f.InTheLye = r.French.name(), r.InTheLye.inTheLye()
	if f.CAS.Number == "" {
		f.CAS = r.CAS.number()
	}
}

// Sources that records need not name.
const (
	scheduleKey = "CA"      // of the trivial names
	profileKey  = "PROFILE" // of figures that follow from the profile
)

// trivialTable holds the trivial names with what finds them.
type trivialTable struct {
	all  []TrivialName
	find map[string]int
}

func readTrivialNames() *trivialTable {
	t := &trivialTable{find: map[string]int{}}
	for at, r := range read[trivialRecord]("trivial_names.json") {
		t.all = append(t.all, TrivialName{r.EU, r.US, r.French, r.In2020Export})
		for _, name := range []string{r.EU, r.US, r.French} {
			t.find[fold(name)] = at
		}
	}
	return t
}

// sourceTable holds the sources with what finds them.
type sourceTable struct {
	all  []Source
	keys map[string]int
}

func readSources() *sourceTable {
	t := &sourceTable{keys: map[string]int{}}
	for at, r := range read[sourceRecord]("sources.json") {
		t.all = append(t.all, Source(r))
		t.keys[r.Key] = at
	}
	return t
}
