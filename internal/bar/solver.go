package bar

import (
	"saponym/internal/blend"
	"saponym/internal/measure"
	"saponym/internal/saponify"
)

// A solver looks for the least of weighted sums of a bar's lines.
//
// The alkali of the pot is fixed, N moles of it. Free acids react first, and the esters to
// the one extent E at which N = a + E·e, with a and e the equivalents of all acids and
// esters. Every mass is P + E·Q, where P and Q are linear in the shares, so that for any
// number η
//
//	P + E·Q + η·(N − a − E·e)
//
// is the mass itself at every real bar, where the bracket is nought. Its least over all
// shares, figures and extents, taken one by one, is a bound from below, and a cheap one:
// it is linear in E, which stands at an end of its range, and at a fixed E the sources
// have nothing to do with each other. The greatest such bound is found by climbing η,
// for it is concave in it. The same is done in the small for a blend whose
// saponification value is stated, and for soap that was boiled elsewhere.
type solver struct {
	bar   *Bar
	dry   int                // the line of all that is dry, after those of the bar
	fresh int                // the line of all water before any has left
	uses  [][][]use          // of each part of each source
	fixed []float64          // of each line: what hangs on nothing
	find  []*blend.Minimiser // of each source; nil where its shares are known
	tied  []bool             // of each source: its parts are held by one more figure
	roots []*node
	order map[float64]int // whether all fresh water is more than so much of the dry mass, or less
	rest  float64         // mol of alkali for the fats that is in no part
	left  int             // nodes that may still be looked at
	room  room
}

// A use says that a part gives a product to a line.
type use struct {
	line    int
	product Product
}

// mostNodes is how many pieces of the range of the extent are looked at for one question,
// and mostOfBar for all questions of one bar. What is undecided then stays unproved.
const (
	mostNodes = 12
	mostOfBar = 300
)

func (b *Bar) solve() *solver {
	if b.solver != nil {
		return b.solver
	}
	v := &solver{bar: b, dry: len(b.Lines), fresh: len(b.Lines) + 1, order: map[float64]int{}, left: mostOfBar}
	b.solver = v
	v.fixed = make([]float64, len(b.Lines)+2)
	v.rest = b.lye
	for i, s := range b.Sources {
		v.uses = append(v.uses, make([][]use, len(s.Parts)))
		var find *blend.Minimiser
		if _, known := s.Shares.Point(); !known {
			find = blend.NewMinimiser(s.Shares)
		}
		v.find = append(v.find, find)
		if s.Kettle == nil {
			v.rest -= s.alkali(b.shown.Shares[i])
		}
		v.tied = append(v.tied, s.Kettle != nil && find != nil || s.SAP != nil && s.roams())
	}
	for l, line := range b.Lines {
		v.use(l, line.Terms)
		if line.Counted() {
			v.use(v.dry, line.Terms)
		}
	}
	v.use(v.fresh, b.waters)
	v.root()
	return v
}

// roams reports whether a blend is not known exactly, so that its saponification value
// holds its parts.
func (s Source) roams() bool {
	if _, known := s.Shares.Point(); !known {
		return true
	}
	for _, part := range s.Parts {
		if part.Fat != nil && !part.Fat.Spread.IsPoint() {
			return true
		}
	}
	return false
}

func (v *solver) use(line int, terms []Term) {
	for _, t := range terms {
		switch t.Product {
		case Moisture, BoughtMoisture:
		case Whole:
			v.fixed[line] += v.bar.Sources[t.Source].Mass
		default:
			uses := &v.uses[t.Source][t.Part]
			*uses = append(*uses, use{line, t.Product})
		}
	}
}

// root makes the nodes that hold all extents: of the esters when all free acid has
// reacted, and of the acids alone where so little alkali is possible.
func (v *solver) root() {
	extent := v.bar.Extent()
	if extent.High >= 0 {
		v.roots = append(v.roots, &node{extent: measure.Range{Low: max(0, extent.Low), High: min(1, max(0, extent.High))}})
	}
	if extent.Low < 0 {
		v.roots = append(v.roots, &node{acidsOnly: true, extent: measure.Range{Low: 0, High: 1}})
	}
	for _, n := range v.roots {
		for _, s := range v.bar.Sources {
			n.kettles = append(n.kettles, s.kettle())
		}
	}
}

func (s Source) kettle() measure.Range {
	if s.Kettle == nil {
		return measure.Range{}
	}
	return s.Kettle.Extent
}

// A node is a piece of the range of the extents.
type node struct {
	acidsOnly bool            // the esters have not reacted, and the extent is that of the acids
	extent    measure.Range   // of the pot
	kettles   []measure.Range // of each source that was boiled elsewhere
	ends      []*end
	low       float64 // the bound found in it
}

// halves gives the two halves of a node: of the extent that moves the most mass.
func (v *solver) halves(n *node) [2]*node {
	pot := 0.0
	widest, width := -1, 0.0
	for i, s := range v.bar.Sources {
		if s.Kettle == nil {
			pot += s.Mass
		} else if w := s.Mass * (n.kettles[i].High - n.kettles[i].Low); w > width {
			widest, width = i, w
		}
	}
	if pot*(n.extent.High-n.extent.Low) >= width {
		widest = -1
	}
	var both [2]*node
	for h := range both {
		half := &node{acidsOnly: n.acidsOnly, extent: n.extent, kettles: n.kettles}
		r := &half.extent
		if widest >= 0 {
			half.kettles = append([]measure.Range{}, n.kettles...)
			r = &half.kettles[widest]
		}
		if middle := r.Middle(); h == 0 {
			r.High = middle
		} else {
			r.Low = middle
		}
		both[h] = half
	}
	return both
}

// An end is one end of what a node leaves open for all sources together.
type end struct {
	extent    saponify.Extent
	potassium float64
	sources   [][]*table // the tables of each source: one, or one for each end of its kettle
}

// A table says what a source gives to the lines.
type table struct{ parts []column }

// A column is what one part gives to the lines that it has a part in, with its figures at
// each of their ends.
type column struct {
	lines []int
	cases []figures
	sag   []float64 // grams to each line that a case between the ends may lie below them; nil for none
}

// figures is one case of the figures of a part.
type figures struct {
	fat   saponify.Fat
	grams []float64 // to each of the lines, of the whole source
	moles float64   // of alkali that it leaves for the pot; below nought for what it takes up
	tie   float64   // of one gram: what it adds to the figure that holds the source
	sum   float64   // of the question that is asked
}

// prepare makes the tables of a node.
func (v *solver) prepare(n *node) {
	if n.ends != nil {
		return
	}
	extents := []float64{n.extent.Low, n.extent.High}
	if n.extent.High == n.extent.Low {
		extents = extents[:1]
	}
	shares := []float64{v.bar.potassium.Low, v.bar.potassium.High}
	if v.bar.potassium.IsPoint() {
		shares = shares[:1]
	}
	for _, x := range extents {
		for _, potassium := range shares {
			e := &end{potassium: potassium, extent: saponify.Extent{Acids: 1, Esters: x}}
			if n.acidsOnly {
				e.extent = saponify.Extent{Acids: x}
			}
			for i := range v.bar.Sources {
				if len(n.ends) > 0 && v.inert(i) {
					e.sources = append(e.sources, n.ends[0].sources[i])
					continue
				}
				e.sources = append(e.sources, v.tables(i, e, n.kettles[i]))
			}
			n.ends = append(n.ends, e)
		}
	}
}

// inert reports whether lye leaves a source alone, or is its own affair.
func (v *solver) inert(i int) bool {
	s := &v.bar.Sources[i]
	if s.Kettle != nil {
		return true
	}
	for _, part := range s.Parts {
		if part.Fat != nil || part.Acid != nil {
			return false
		}
	}
	return true
}

// tables gives the tables of a source at an end of the pot: one, or those of the ends of
// its own kettle.
func (v *solver) tables(i int, e *end, extent measure.Range) []*table {
	s := &v.bar.Sources[i]
	if s.Kettle == nil {
		return []*table{v.table(i, e.extent, e.potassium)}
	}
	var all []*table
	for _, x := range ends(extent) {
		for _, potassium := range ends(s.Kettle.Potassium) {
			all = append(all, v.table(i, saponify.Extent{Acids: 1, Esters: x}, potassium))
		}
	}
	return all
}

func (v *solver) table(i int, extent saponify.Extent, potassium float64) *table {
	s := &v.bar.Sources[i]
	t := &table{parts: make([]column, len(s.Parts))}
	for j := range s.Parts {
		t.parts[j] = v.column(s, &s.Parts[j], v.uses[i][j], extent, potassium)
	}
	return t
}

func (v *solver) column(s *Source, part *Part, uses []use, extent saponify.Extent, potassium float64) column {
	c := column{lines: make([]int, len(uses))}
	var slab []float64 // of the grams of all cases
	if f := part.Fat; f != nil {
		slab = make([]float64, len(uses)*len(ends(f.Spread))*len(ends(f.Acids))*len(ends(f.Unsaponifiables)))
	} else {
		slab = make([]float64, len(uses))
	}
	for n, u := range uses {
		c.lines[n] = u.line
	}
	add := func(fat saponify.Fat) {
		f := figures{fat: fat, grams: slab[:len(uses):len(uses)]}
		slab = slab[len(uses):]
		made := part.becomes(fat, extent, potassium)
		for n, u := range uses {
			f.grams[n] = s.Mass * part.gives(u.product, made)
		}
		left := part.alkali()
		if part.Fat != nil {
			a, e := fat.Equivalents()
			left -= extent.Acids*a + extent.Esters*e
		}
		if s.Kettle != nil {
			f.tie = left
		} else {
			f.moles, f.tie = s.Mass*left, fat.SAP
		}
		c.cases = append(c.cases, f)
	}
	if part.Fat == nil {
		add(saponify.Fat{})
		return c
	}
	for _, sap := range ends(part.Fat.Spread) {
		for _, acid := range ends(part.Fat.Acids) {
			for _, rest := range ends(part.Fat.Unsaponifiables) {
				add(part.Fat.at(sap, acid, rest))
			}
		}
	}
	if sag := part.Fat.sag(extent); sag > 0 {
		c.sag = make([]float64, len(uses))
		made := saponify.Products{SodiumSoap: sag * (1 - potassium), PotassiumSoap: sag * potassium, LeftOver: -sag}
		for n, u := range uses {
			c.sag[n] = s.Mass * part.gives(u.product, made)
		}
	}
	return c
}

// sag gives how far the soap of one gram can lie below what its ends say; see
// [saponify.Fat.Sag].
func (f *Fat) sag(extent saponify.Extent) float64 {
	low, high := f.Fat, f.Fat
	low.SAP, low.AcidValue, low.Unsaponifiable = f.Spread.Low, f.Acids.Low, f.Unsaponifiables.Low
	high.SAP, high.AcidValue = f.Spread.High, f.Acids.High
	return low.Sag(high, extent)
}

// ends gives the ends of a range.
func ends(r measure.Range) []float64 {
	if r.IsPoint() {
		return []float64{r.Low}
	}
	return []float64{r.Low, r.High}
}
