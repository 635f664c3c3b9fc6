package bar

import (
	"math"

	"saponym/internal/saponify"
)

// room is where the solver works out one source.
type room struct {
	cost     []float64
	pick     []int
	up, down held
}

// A held is a composition at which what holds a source is above or below what it is to
// be.
type held struct {
	shares []float64
	over   float64
	found  bool
}

func (h *held) keep(shares []float64, over float64) {
	h.shares = append(h.shares[:0], shares...)
	h.over, h.found = over, true
}

// ask works out what each case of each part adds to a question.
func (e *end) ask(weights []float64) {
	for _, tables := range e.sources {
		for _, t := range tables {
			for j := range t.parts {
				c := &t.parts[j]
				sag := 0.0
				for n, grams := range c.sag {
					sag += weights[c.lines[n]] * grams
				}
				for k := range c.cases {
					sum := -max(0, sag)
					for n, grams := range c.cases[k].grams {
						sum += weights[c.lines[n]] * grams
					}
					c.cases[k].sum = sum
				}
			}
		}
	}
}

// at gives the least of a question at an end, with so much on each mole of alkali that is
// left, and how much is left there. It writes the point that gives it, where one is wanted.
func (v *solver) at(e *end, eta float64, into *Point) (sum, moles float64) {
	sum, moles = eta*v.rest, v.rest
	for i, tables := range e.sources {
		value, left, t := v.source(i, tables, eta)
		sum, moles = sum+value, moles+left
		if into != nil {
			v.write(i, t, into)
		}
	}
	return sum, moles
}

// source gives the least of one source over its tables, the alkali that it leaves there,
// and the table. The shares and the cases that give it are in the room. What holds the
// source has one number for all tables: between them it hangs on the extent.
func (v *solver) source(i int, tables []*table, eta float64) (value, moles float64, least *table) {
	each := func(nu float64) (value, over float64, least *table) {
		value = math.Inf(1)
		for _, t := range tables {
			if one, by := v.mixed(i, t, eta, nu); one < value {
				value, over, least = one, by, t
			}
		}
		if len(tables) > 1 {
			v.mixed(i, least, eta, nu)
		}
		return value, over, least
	}
	if !v.tied[i] {
		value, _, least = each(0)
		return value, v.moles(i, least), least
	}
	s := &v.bar.Sources[i]
	v.room.up.found, v.room.down.found = false, false
	start, step := 0.0, 100*s.Mass
	if s.SAP != nil {
		step = s.Mass / 100
		for _, f := range tables[0].parts[0].cases {
			if f.tie > 0 {
				start = -eta * f.moles / f.tie // so that what it takes up hangs on the stated value alone
			}
		}
	}
	nu, value := crest(start, step, math.Inf(1), func(nu float64) (float64, float64) {
		value, over, _ := each(nu)
		if over >= 0 {
			v.room.up.keep(v.shares(i), over)
		}
		if over <= 0 {
			v.room.down.keep(v.shares(i), over)
		}
		return value, over
	})
	_, _, least = each(nu)
	return value, v.moles(i, least), least
}

// mixed gives the least of one source with so much on what holds it, and by how much it
// passes what it is to be.
func (v *solver) mixed(i int, t *table, eta, nu float64) (value, over float64) {
	r := &v.room
	r.cost, r.pick = r.cost[:0], r.pick[:0]
	for j := range t.parts {
		cases := t.parts[j].cases
		pick, cost := 0, cases[0].sum+eta*cases[0].moles+nu*cases[0].tie
		for k := 1; k < len(cases); k++ {
			if c := cases[k].sum + eta*cases[k].moles + nu*cases[k].tie; c < cost {
				pick, cost = k, c
			}
		}
		r.cost, r.pick = append(r.cost, cost), append(r.pick, pick)
	}
	if find := v.find[i]; find != nil {
		value = find.Least(r.cost)
	} else {
		value = dot(r.cost, v.bar.shown.Shares[i])
	}
	if !v.tied[i] {
		return value, 0
	}
	for j, share := range v.shares(i) {
		over += share * t.parts[j].cases[r.pick[j]].tie
	}
	if sap := v.bar.Sources[i].SAP; sap != nil {
		held := sap.Low
		if nu > 0 {
			held = sap.High
		}
		value -= nu * held
		over -= held
		if math.Abs(over) <= rounded*held {
			over = 0
		}
	} else if math.Abs(over) <= rounded/100 { // of some thousandths of a mole
		over = 0
	}
	return value, over
}

// shares gives the composition that the last question of a source has found.
func (v *solver) shares(i int) []float64 {
	if v.find[i] == nil {
		return v.bar.shown.Shares[i]
	}
	return v.find[i].At()
}

// moles gives the alkali that a source leaves at the composition and cases found last.
func (v *solver) moles(i int, t *table) float64 {
	total := 0.0
	for j, share := range v.shares(i) {
		total += share * t.parts[j].cases[v.room.pick[j]].moles
	}
	return total
}

// write puts the composition and the cases found last into a point: those between the two
// sides of what holds a source, and the best of those that are surely allowed.
func (v *solver) write(i int, t *table, p *Point) {
	s := &v.bar.Sources[i]
	shares := append([]float64{}, v.shares(i)...)
	if up, down := v.room.up, v.room.down; v.tied[i] && up.found && down.found && up.over > down.over {
		part := up.over / (up.over - down.over)
		for j := range shares {
			shares[j] = up.shares[j] + part*(down.shares[j]-up.shares[j])
		}
	}
	if s.Allowed != nil {
		least := math.Inf(1)
		for _, one := range s.Allowed {
			if cost := dot(v.room.cost, one); cost < least {
				least = cost
				copy(shares, one)
			}
		}
	}
	fats := make([]saponify.Fat, len(s.Parts))
	for j := range s.Parts {
		fats[j] = t.parts[j].cases[v.room.pick[j]].fat
	}
	if s.SAP != nil {
		s.meet(shares, fats, min(s.SAP.High, max(s.SAP.Low, sapOf(shares, fats))))
	}
	p.Shares[i], p.Fats[i] = shares, fats
}

// sapOf gives the saponification value of a mixture.
func sapOf(shares []float64, fats []saponify.Fat) float64 {
	total := 0.0
	for j, f := range fats {
		total += shares[j] * f.SAP
	}
	return total
}

// blank gives a point to be written to.
func (b *Bar) blank() Point {
	return Point{Shares: make([][]float64, len(b.Sources)), Fats: make([][]saponify.Fat, len(b.Sources))}
}

// between gives the point a part of the way from one to another. What each part brings of
// its figures goes that way as well, and with it all that is linear in both. Where only
// single compositions are surely allowed, it is that of the nearer one.
func (b *Bar) between(p, q Point, part float64) Point {
	r := b.blank()
	for i, s := range b.Sources {
		if s.Allowed != nil {
			nearer := p
			if part > 0.5 {
				nearer = q
			}
			r.Shares[i], r.Fats[i] = nearer.Shares[i], nearer.Fats[i]
			continue
		}
		r.Shares[i] = make([]float64, len(s.Parts))
		r.Fats[i] = append([]saponify.Fat{}, p.Fats[i]...)
		for j := range s.Parts {
			from, to := (1-part)*p.Shares[i][j], part*q.Shares[i][j]
			r.Shares[i][j] = from + to
			if s.Parts[j].Fat == nil || !(from+to > 0) {
				continue
			}
			share := to / (from + to)
			f, g := &r.Fats[i][j], q.Fats[i][j]
			f.SAP += share * (g.SAP - f.SAP)
			f.AcidValue += share * (g.AcidValue - f.AcidValue)
			f.Unsaponifiable += share * (g.Unsaponifiable - f.Unsaponifiable)
		}
		if s.SAP != nil {
			s.meet(r.Shares[i], r.Fats[i], min(s.SAP.High, max(s.SAP.Low, sapOf(r.Shares[i], r.Fats[i]))))
		}
	}
	return r
}
