package compile

import (
	"math"
	"slices"

	"saponym/internal/bar"
	"saponym/internal/cure"
	"saponym/internal/day"
	"saponym/internal/finding"
	"saponym/internal/formula"
	"saponym/internal/measure"
	"saponym/internal/register"
	"saponym/internal/shop"
)

// dried reads the weighings of one cut of the batch. Without a batch there are none; without
// a batter they tell nothing.
func (s subject) dried(folder *shop.Folder, batter *bar.Batter, cut formula.Cut) cure.Dried {
	if s.batch == nil {
		return cure.Dried{}
	}
	if done, ok := s.read[cut.Name.V]; ok {
		return done
	}
	prior := cure.Prior{}
	if len(s.batch.Weighings) > 0 && batter != nil {
		prior = earlier(folder, s.doc.ID, s.batch.Made.V, s.law.On)
	}
	dried := s.dry(folder, batter, cut, s.law.On, prior)
	s.read[cut.Name.V] = dried
	return dried
}

// dry reads the weighings up to a day, with what is believed beforehand.
func (s subject) dry(folder *shop.Folder, batter *bar.Batter, cut formula.Cut, on day.Day, prior cure.Prior) cure.Dried {
	if batter == nil {
		return cure.Unread(*s.batch, s.doc.Cuts, cut)
	}
	basis := basisOf(folder, *s.batch, batter, cut, on)
	basis.Prior = prior
	dried := cure.Read(*s.batch, s.doc.Cuts, cut, basis)
	if _, err := batter.Contents(); err != nil { // no share of water that is known to be small
		for i, f := range dried.Findings {
			if f.Rule == cure.RuleWater {
				dried.Findings[i].Message = "how much water the fresh bar held cannot be told, so its weighings predict nothing: " + err.Error()
				dried.Findings[i].Remedy = "correct the weights of the batch if they are wrong; or else weigh every bar that is sold"
			}
		}
	}
	return dried
}

// basisOf gives what the weighings of a batch are read by, but for the belief.
func basisOf(folder *shop.Folder, b formula.Batch, batter *bar.Batter, cut formula.Cut, on day.Day) cure.Basis {
	basis := cure.Basis{Water: leaves(batter), Glycerol: glycerol(batter), Bars: b.Bars(cut.Name.V), On: on, Scales: folder.Shop.Scales}
	for _, stock := range register.StockOf(b) {
		if stock.Cut == cut.Name.V {
			basis.Left = stock.OnHand + stock.Withheld
		}
	}
	return basis
}

// leaves gives the share of a fresh bar that can leave it: water, and what evaporates. It is
// 0 if that cannot be told.
func leaves(batter *bar.Batter) measure.Range {
	contents, err := batter.Contents()
	if err != nil || contents.Total() <= 0 {
		return measure.Range{}
	}
	fresh, err := batter.Fresh()
	if err != nil {
		return measure.Range{}
	}
	water, gone := fresh.WaterShare(), max(0, batter.Mass()-contents.Total())
	part := func(water, more float64) float64 { // of a bar that still has what evaporates
		return (water*contents.Total() + gone + more) / (contents.Total() + gone)
	}
	return measure.Range{Low: part(water.Low, 0), High: part(water.High, batter.Volatile())}
}

// glycerol gives the share of a fresh bar that is glycerol, and 0 if that cannot be told.
func glycerol(batter *bar.Batter) float64 {
	contents, err := batter.Contents()
	if err != nil || contents.Total() <= 0 {
		return 0
	}
	return contents.Glycerol / contents.Total()
}

// How many batches of a formula teach what the next one does, and how many records are
// looked at to find them.
const (
	enoughEarlier = 6
	mostLooked    = 500
)

// earlier gives what the batches of a formula that were made before a day teach about how
// its bars dry, as far as was weighed on another day; the usual belief where they are too
// few. The youngest of them count.
func earlier(folder *shop.Folder, id string, before, on day.Day) cure.Prior {
	type record struct {
		code string
		made day.Day
	}
	var weighed []record
	codes := folder.Codes()
	slices.Reverse(codes)
	for _, code := range codes[:min(len(codes), mostLooked)] {
		b, ok := folder.Batch(code)
		if ok && formula.ID(b.Formula.V) == formula.ID(id) && b.Made.V.Before(before) && len(b.Weighings) >= cure.FewestDays {
			weighed = append(weighed, record{code, b.Made.V})
		}
	}
	slices.SortStableFunc(weighed, func(a, b record) int { return b.made.Compare(a.made) })
	var courses []*cure.Course
	for _, r := range weighed {
		if course := usualCourse(folder, r.code, on); course != nil {
			if courses = append(courses, course); len(courses) == enoughEarlier {
				break
			}
		}
	}
	return cure.PriorFrom(courses)
}

// usualCourse gives the course of the first cut of a batch that has one, by the usual
// belief.
func usualCourse(folder *shop.Folder, code string, on day.Day) *cure.Course {
	s := subject{}
	if s.document(folder, &Order{Formula: code}) != nil {
		return nil
	}
	batter, _ := s.pour()
	if batter == nil {
		return nil
	}
	for _, cut := range s.doc.Cuts {
		if dried := s.dry(folder, batter, cut, on, cure.Prior{}); dried.Course != nil {
			return dried.Course
		}
	}
	return nil
}

// weigh fills in how much water is left by the weighings of the batch, and gives what is
// wrong with them.
func (s subject) weigh(folder *shop.Folder, batter *bar.Batter, cut formula.Cut) []finding.Finding {
	dried := s.dried(folder, batter, cut)
	if dried.Course != nil {
		packed := dried.Day(s.packed(cut))
		left, driest := dried.Course.WaterLeft(packed), dried.Course.WaterLeft(math.Inf(1))
		batter.WaterLeft = bar.WaterLeft{
			Low:     measure.Share(left.Low * float64(measure.Whole)),
			Nominal: measure.Share(dried.Course.Water(packed) * float64(measure.Whole)),
			High:    measure.Share(math.Ceil(left.High * float64(measure.Whole))),
			Driest:  measure.Share(driest.Low * float64(measure.Whole)),
		}
	}
	return slices.DeleteFunc(slices.Clone(dried.Findings), func(f finding.Finding) bool { return f.Level == finding.Note })
}

// packed gives the day on which bars of a cut were wrapped first; as long as none is, they
// are wrapped on the day of the label.
func (s subject) packed(cut formula.Cut) day.Day {
	if first := s.batch.FirstPacked(cut.Name.V); !first.IsZero() {
		return first
	}
	return s.law.On
}
