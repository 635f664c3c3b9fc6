package formula

import (
	"saponym/internal/measure"
	"saponym/internal/source"
)

// A Shop is what a shop folder says of its maker: shop.yaml.
type Shop struct {
	File        string
	Maker       Maker
	Markets     []Text                            // ids of rule sets
	Responsible map[string]Address                // the responsible person by place: "eu", "uk" …
	Moulds      map[string]Mould                  // by id
	Scales      map[string]Mass                   // by id: the step of the scale
	Printers    map[string]map[string]Calibration // by id, then by tray
	Codes       Codes
	LotRules    map[string]Text // by place: the rule by which lots are judged, where its law leaves a choice
}

// An Address is a name with its lines as they are printed.
type Address struct {
	Name  Text
	Lines []Text
}

// A Maker is who makes the soap and answers for it.
type Maker struct {
	Address
	MadeIn  Text // the country of origin as printed: "USA"
	Contact Contact
}

// A Contact says how buyers reach the maker.
type Contact struct{ Email, Phone, Web Text }

// A Mould is what a mould takes up. Exactly one of Holds, Batter and Oils is
// given.
type Mould struct {
	Holds  source.Value[measure.Volume]
	Batter Mass
	Oils   Mass
	Fill   Share // of Holds; all of it where nothing is said
}

// A Calibration is what a test page told of one tray of a printer.
type Calibration struct {
	X, Y           source.Value[measure.Length] // may be negative: see Offset in package source
	ScaleX, ScaleY Share
}

// A Codes is the form of the batch codes.
type Codes struct{ Pattern, Check Text }
