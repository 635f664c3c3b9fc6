package inci

import "fmt"

// A Composition tells what a thing such as milk, beer or honey is made of, as far
// as it matters to soap: in per cent of its mass, as bought. What is not named is
// left alone by lye (protein, fibre, minerals) or not known. The figures are those
// of ordinary goods; a pack says it better. The zero Composition is none.
type Composition struct {
	Water      Figure
	Evaporates Figure // what leaves the bar in the cure: the alcohol of beer
	Fat        Figure
	FatOf      string // id of the fat, or of the one in the tables that is most like it
	Sugar      Figure // of honey and molasses, the sugars that are not sucrose
	SugarOf    string // id of the sugar; glucose stands for mixed sugars
	Acid       Figure
	AcidOf     string // id of the acid, which has a [Neutralisation]
}

// The record of a composition, as it stands in the file.
type (
	compositionRecord struct {
		Water      percentRecord `json:"water"`
		Evaporates percentRecord `json:"evaporates"`
		Fat        portionRecord `json:"fat"`
		Sugar      portionRecord `json:"sugar"`
		Acid       portionRecord `json:"acid"`
	}
	portionRecord struct {
		percentRecord
		Of string `json:"of"`
	}
)

func (r compositionRecord) composition() Composition {
	return Composition{
		Water: r.Water.figure(), Evaporates: r.Evaporates.figure(),
		Fat: r.Fat.figure(), FatOf: r.Fat.Of,
		Sugar: r.Sugar.figure(), SugarOf: r.Sugar.Of,
		Acid: r.Acid.figure(), AcidOf: r.Acid.Of,
	}
}

// countSugars sets how much alkali the sugars in things such as milk can take up.
func (t *table) countSugars() {
	for at := range t.all {
		s := &t.all[at]
		if s.Composition.SugarOf == "" {
			continue
		}
		sugar, ok := t.one(t.ids, s.Composition.SugarOf)
		if !ok {
			panic(fmt.Sprintf("inci: %s names a sugar %q that there is not", s.ID, s.Composition.SugarOf)) // see read
		}
		s.MostAlkali = s.Composition.Sugar.High / 100 * sugar.MostAlkali
	}
}
