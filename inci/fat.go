package inci

import (
	"fmt"
	"strconv"
	"strings"
)

// A Kind says how lye takes a fat apart.
type Kind string

// The kinds of fat.
const (
	Triglyceride       Kind = "triglyceride"
	FreeFattyAcid      Kind = "free fatty acid"
	WaxEster           Kind = "wax ester"
	PartlySaponifiable Kind = "partly saponifiable" // much of it is no fat in the strict sense, or varies
)

// A ByProduct is what is set free, besides soap, when a fat meets lye.
type ByProduct string

// The by-products of saponification.
const (
	SetsFreeGlycerin     ByProduct = "glycerin"
	SetsFreeWater        ByProduct = "water" // of free acids, resin acids among them
	SetsFreeFattyAlcohol ByProduct = "fatty alcohol"
)

// A Metal is the metal of a soap.
type Metal string

// The metals of soap.
const (
	Sodium    Metal = "sodium"
	Potassium Metal = "potassium"
)

// A Salt is the name of a soap of one fat or acid. CAS is empty where the list
// gives no number.
type Salt struct {
	Name
	CAS string
}

// A Fat is an oil, fat, butter, wax or fatty acid that saponifies, with its
// figures.
type Fat struct {
	Substance
	From           string // plant or animal, and the part of it
	Kind           Kind
	SetsFree       ByProduct
	SodiumSalt     Salt
	PotassiumSalt  Salt
	SAP            SAP
	SAPComputed    Figure // from the profile
	AcidValue      Figure // part of the SAP; where a monograph gives it
	IodineValue    Figure
	IodineComputed Figure // from the profile
	Unsaponifiable Figure
	Second         SecondRange
	Profile        Profile
}

// Salt gives the name of the fat's soap with the metal. For anything but
// [Sodium] and [Potassium] it is the zero Salt.
func (f Fat) Salt(m Metal) Salt { return saltOf(m, f.SodiumSalt, f.PotassiumSalt) }

func saltOf(m Metal, sodium, potassium Salt) Salt {
	switch m {
	case Sodium:
		return sodium
	case Potassium:
		return potassium
	}
	return Salt{}
}

// A Figure is a published value between Low and High, which are equal for a
// single value. The zero Figure is none.
type Figure struct {
	Low, High float64
	Text      string // as printed, where Low and High were read from it: "<=1.5"
	Source    string
	Known     Known
}

// Given reports whether there is a figure.
func (f Figure) Given() bool { return f.Source != "" }

// A SAP is the saponification value of a fat: the mg of KOH that take up a gram
// of it, unsaponifiable matter included. Every fat has a representative value.
//
// The published range may be withheld on purpose: Given then reports false, Low
// and High are 0, and the representative value follows from the profile of the
// fat, which the Source says.
type SAP struct {
	Figure
	Representative float64
	Basis          Basis
	Withheld       bool
}

// Given reports whether a range is published.
func (s SAP) Given() bool { return !s.Withheld && s.Figure.Given() }

// A Basis says how the representative value of a range was chosen.
type Basis string

// The bases of a representative value.
const (
	MiddleOfRange Basis = "middle of the range"
	FromProfile   Basis = "computed from the profile"
	FromMolarMass Basis = "computed from the molar mass"
	Chosen        Basis = "chosen, see the note"
)

// A SecondRange holds the figures of a second text, as far as it gives them. It
// backs up the first or differs from it. The zero SecondRange is none.
type SecondRange struct {
	SAP            Figure
	IodineValue    Figure
	Unsaponifiable Figure
}

// Given reports whether there is a second text.
func (r SecondRange) Given() bool { return r.SAP.Given() }

// A Profile is what fatty acids a fat is made of: for wax esters, the acid part
// alone. The zero Profile is none.
type Profile struct {
	Shares []AcidShare // in the order of the table of acids
	Other  float64     // per cent that the source calls other acids, or does not report
	Basis  string      // how the shares were chosen: "as published"
	Source string
	Known  Known
}

// Given reports whether there is a profile.
func (p Profile) Given() bool { return len(p.Shares) > 0 }

// An AcidShare is a fatty acid and its per cent of the fatty acids by mass.
type AcidShare struct {
	Code    string // as in [Acid]
	Percent float64
}

// parsePercent reads a percentage as sources print it: "1.2", "1-19" or
// "<=1.5", with a remark in brackets after it or without.
func parsePercent(text string) (low, high float64, err error) {
	number, _, _ := strings.Cut(text, " (")
	lowText, highText, isRange := strings.Cut(number, "-")
	switch most, isBound := strings.CutPrefix(number, "<="); {
	case isBound:
		lowText, highText = "0", most
	case !isRange:
		highText = lowText
	}
	if low, err = strconv.ParseFloat(lowText, 64); err == nil {
		high, err = strconv.ParseFloat(highText, 64)
	}
	if err != nil || low > high {
		return 0, 0, fmt.Errorf(`%q is no percentage: write "1.2", "1-19" or "<=1.5"`, text)
	}
	return low, high, nil
}
