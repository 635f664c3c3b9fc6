package figure_test

import (
	"fmt"

	"saponym/internal/trail"
)

// sure is a mass that is known.
func sure(g float64) trail.Grams { return trail.Grams{Low: g, Nominal: g, High: g} }

func about(low, nominal, high float64) trail.Grams {
	return trail.Grams{Low: low, Nominal: nominal, High: high}
}

// hearth is an invented batch of an oil blend whose supplier tells only the order
// of some of its oils. Its figures are such as a soap of these oils has; they are
// not worked out.
func hearth() trail.Flow {
	return trail.Flow{
		Formula: "Hearth & Husk", Market: "European Union", Word: "Sodium Palmate",
		Weighed: []trail.Node{
			{Name: "Pantry base", Note: "olive 40 %, coconut 20 to 30 %, palm and sunflower in order only", Grams: sure(608), Lit: true},
			{Name: "Shea butter", Note: "12 % of the oils", Grams: sure(91.2)},
			{Name: "Castor oil", Note: "8 % of the oils", Grams: sure(60.8)},
			{Name: "Sodium hydroxide", Note: "98 % pure", Grams: sure(105.9), Lit: true},
			{Name: "Water", Note: "33 % strength", Grams: sure(215)},
			{Name: "Oat flour", Grams: sure(11.4)},
			{Name: "Forest soap crumbs", Grams: sure(50)},
			{Name: "Meadow scent", Note: "2 % of the oils", Grams: sure(15.2)},
			{Name: "Charcoal", Grams: sure(3)},
		},
		Bar: []trail.Node{
			{Name: "Soap of olive oil", Grams: about(254, 258, 262)},
			{Name: "Soap of coconut oil", Grams: about(129, 161, 193)},
			{Name: "Soap of palm oil", Note: "palm is told by its order only", Grams: about(90, 125, 178), Lit: true},
			{Name: "Soap of shea butter", Grams: about(89, 90, 91)},
			{Name: "Soap of sunflower oil", Note: "may be none of it", Grams: about(0, 83, 119)},
			{Name: "Soap of castor oil", Grams: about(59, 59.5, 60)},
			{Name: "Glycerin", Grams: about(56.4, 57.4, 59)},
			{Name: "Water left", Note: "10 % of the bar", Grams: about(21, 116, 215)},
			{Name: "Oils left over", Grams: about(30, 32, 33)},
			{Name: "Crumbs", Grams: sure(50)},
			{Name: "Scent", Grams: sure(15.2)},
			{Name: "Oat flour", Grams: sure(11.4)},
			{Name: "Charcoal", Grams: sure(3)},
			{Name: "Water that evaporates", Grams: about(0, 99, 194), Gone: true},
		},
		Words: []trail.Node{
			{Name: "Sodium Olivate", Grams: about(278, 288, 297)},
			{Name: "Sodium Cocoate", Grams: about(144, 181, 217)},
			{Name: "Sodium Palmate", Grams: about(90, 125, 178), Lit: true, Joint: trail.Loose},
			{Name: "Aqua", Grams: about(21, 116, 215)},
			{Name: "Sodium Shea Butterate", Grams: about(89, 90, 91), Joint: trail.Loose},
			{Name: "Sodium Sunflowerseedate", Grams: about(0, 83, 119), Joint: trail.Loose},
			{Name: "Sodium Castorate", Grams: about(59, 59.5, 60)},
			{Name: "Glycerin", Grams: about(56.4, 57.4, 59)},
			{Name: "Parfum", Grams: about(14.3, 14.6, 14.8)},
			{Name: "Olea Europaea (Olive) Fruit Oil", Grams: about(13, 14, 15)},
			{Name: "Avena Sativa (Oat) Kernel Flour", Grams: sure(11.4)},
			{Name: "Cocos Nucifera (Coconut) Oil", Grams: about(8, 10, 12)},
			{Name: "Butyrospermum Parkii (Shea) Butter", Grams: about(7, 8, 9)},
			{Name: "Linalool", Note: "over 0.01 %", Grams: about(0.4, 0.6, 0.9)},
			{Name: "CI 77268:1", Note: "charcoal", Grams: sure(3)},
		},
		Made: []trail.Ribbon{
			{From: 0, To: 0, Grams: about(224, 228, 232)}, {From: 3, To: 0, Grams: about(29, 30, 31)},
			{From: 0, To: 1, Grams: about(107, 134, 161)}, {From: 3, To: 1, Grams: about(22, 27, 32)},
			{From: 0, To: 2, Grams: about(78, 108, 154), Lit: true}, {From: 3, To: 2, Grams: about(12, 17, 24), Lit: true},
			{From: 1, To: 3, Grams: about(79, 80, 81)}, {From: 3, To: 3, Grams: sure(10)},
			{From: 0, To: 4, Grams: about(0, 71.1, 102)}, {From: 3, To: 4, Grams: about(0, 11.9, 17)},
			{From: 2, To: 5, Grams: about(53, 53.5, 54)}, {From: 3, To: 5, Grams: sure(6)},
			{From: 0, To: 6, Grams: about(41, 41.9, 43)}, {From: 1, To: 6, Grams: sure(6.6)}, {From: 2, To: 6, Grams: sure(4.9)}, {From: 3, To: 6, Grams: sure(4)},
			{From: 4, To: 7, Grams: about(21, 116, 215)},
			{From: 0, To: 8, Grams: about(23, 25, 26)}, {From: 1, To: 8, Grams: sure(4.6)}, {From: 2, To: 8, Grams: sure(2.4)},
			{From: 6, To: 9, Grams: sure(50)}, {From: 7, To: 10, Grams: sure(15.2)}, {From: 5, To: 11, Grams: sure(11.4)}, {From: 8, To: 12, Grams: sure(3)},
			{From: 4, To: 13, Grams: about(0, 99, 194)},
		},
		Named: []trail.Ribbon{
			{From: 0, To: 0, Grams: about(254, 258, 262)}, {From: 9, To: 0, Grams: about(24, 30, 35)},
			{From: 1, To: 1, Grams: about(129, 161, 193)}, {From: 9, To: 1, Grams: about(15, 20, 26)},
			{From: 2, To: 2, Grams: about(90, 125, 178), Lit: true}, {From: 7, To: 3, Grams: about(21, 116, 215)},
			{From: 3, To: 4, Grams: about(89, 90, 91)}, {From: 4, To: 5, Grams: about(0, 83, 119)},
			{From: 5, To: 6, Grams: about(59, 59.5, 60)}, {From: 6, To: 7, Grams: about(56.4, 57.4, 59)},
			{From: 10, To: 8, Grams: about(14.3, 14.6, 14.8)}, {From: 10, To: 13, Grams: about(0.4, 0.6, 0.9)},
			{From: 8, To: 9, Grams: about(13, 14, 15)}, {From: 8, To: 11, Grams: about(8, 10, 12)}, {From: 8, To: 12, Grams: about(7, 8, 9)},
			{From: 11, To: 10, Grams: sure(11.4)}, {From: 12, To: 14, Grams: sure(3)},
		},
	}
}

// many is a flow with so many nodes in each column; of each mass a half goes to
// the next node but two.
func many(count int, notes bool) trail.Flow {
	f := trail.Flow{Formula: "Fern & Fallow", Market: "United States", Word: "Sodium Word 3"}
	for i := range count {
		g := about(float64(i), float64(2*i+1), float64(3*i+5))
		note := ""
		if notes {
			note = fmt.Sprintf("as the supplier of lot %d states", i)
		}
		f.Weighed = append(f.Weighed, trail.Node{Name: fmt.Sprintf("Material of lot %d", i), Note: note, Grams: sure(float64(2*i + 1)), Lit: i == 3})
		f.Bar = append(f.Bar, trail.Node{Name: fmt.Sprintf("Soap of oil %d", i), Note: note, Grams: g, Lit: i == 3 || i == 5})
		f.Words = append(f.Words, trail.Node{Name: fmt.Sprintf("Sodium Word %d", i), Note: note, Grams: g, Joint: trail.Joint(i % 3), Lit: i == 3})
		half := about(g.Low/2, g.Nominal/2, g.High/2)
		to := (i + 2) % count
		f.Made = append(f.Made, trail.Ribbon{From: i, To: i, Grams: half, Lit: i == 3}, trail.Ribbon{From: i, To: to, Grams: half, Lit: i == 3})
		f.Named = append(f.Named, trail.Ribbon{From: i, To: i, Grams: half, Lit: i == 3}, trail.Ribbon{From: to, To: i, Grams: half, Lit: i == 3})
	}
	return f
}
