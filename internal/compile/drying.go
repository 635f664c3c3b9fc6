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
	"saponym/internal/shop"
)

// dried reads the weighings of one cut of the batch. Without a batch, or a batter, there
// are none.
func (s subject) dried(folder *shop.Folder, batter *bar.Batter, cut formula.Cut) cure.Dried {
	if s.batch == nil || batter == nil {
		return cure.Dried{}
	}
	if done, ok := s.read[cut.Name.V]; ok {
		return done
	}
	prior := cure.Prior{}
	if len(s.batch.Weighings) > 0 {
		prior = earlier(folder, s.doc.ID, s.batch.Made.V)
	}
	dried := s.dry(folder, batter, cut, prior)
	s.read[cut.Name.V] = dried
	return dried
}

// dry reads the weighings with what is believed beforehand.
func (s subject) dry(folder *shop.Folder, batter *bar.Batter, cut formula.Cut, prior cure.Prior) cure.Dried {
	return cure.Read(*s.batch, s.doc.Cuts, cut, cure.Basis{Water: water(batter), Glycerol: glycerol(batter), Bars: s.batch.Bars(cut.Name.V), Scales: folder.Shop.Scales, Prior: prior})
}

// water gives the share of a fresh bar that is water, and 0 if that cannot be told.
func water(batter *bar.Batter) float64 {
	contents, err := batter.Contents()
	if err != nil || contents.Total() <= 0 {
		return 0
	}
	return contents.Water / contents.Total()
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
// its bars dry; the usual belief where they are too few. The youngest of them count.
func earlier(folder *shop.Folder, id string, before day.Day) cure.Prior {
	var courses []*cure.Course
	codes := folder.Codes()
	slices.Reverse(codes)
	for _, code := range codes[:min(len(codes), mostLooked)] {
		b, ok := folder.Batch(code)
		if !ok || formula.ID(b.Formula.V) != id || !b.Made.V.Before(before) || len(b.Weighings) < cure.FewestDays {
			continue
		}
		if course := usualCourse(folder, code); course != nil {
			if courses = append(courses, course); len(courses) == enoughEarlier {
				break
			}
		}
	}
	return cure.PriorFrom(courses)
}

// usualCourse gives the course of the first cut of a batch that has one, by the usual
// belief.
func usualCourse(folder *shop.Folder, code string) *cure.Course {
	s := subject{}
	if s.document(folder, &Order{Formula: code}) != nil {
		return nil
	}
	batter, _ := s.pour()
	if batter == nil {
		return nil
	}
	for _, cut := range s.doc.Cuts {
		if dried := s.dry(folder, batter, cut, cure.Prior{}); dried.Course != nil {
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
	first := day.Day{}
	for _, p := range s.batch.Packed {
		if (p.Cut.V == cut.Name.V || !p.Cut.Given()) && (first.IsZero() || p.Date.V.Before(first)) {
			first = p.Date.V
		}
	}
	if first.IsZero() {
		return s.law.On
	}
	return first
}
