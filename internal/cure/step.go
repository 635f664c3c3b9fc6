package cure

import (
	"math"

	"saponym/internal/measure"
)

// scaleSteps are the steps in which scales go, the coarsest first: ounces in eighths and
// tenths, grams in whole ones and tenths, and what is finer than that.
var scaleSteps = []measure.Mass{
	measure.Ounce / 8, measure.Ounce / 10, measure.Ounce / 20, measure.Gram, measure.Ounce / 100, measure.Gram / 10, measure.Gram / 100,
}

// fewestReadings are so many that it is no accident if all stand on whole steps.
const fewestReadings = 3

// StepSeen gives the step of the scale by what was read from it: the coarsest of which all
// readings are whole numbers. It is 0 where there are too few of them, or no step is seen.
func StepSeen(weighings []Weighing) measure.Mass {
	var all []measure.Mass
	for _, w := range weighings {
		for _, mark := range marks(w.Bars) {
			all = append(all, w.Bars[mark])
		}
	}
	if len(all) < fewestReadings {
		return 0
	}
	for _, step := range scaleSteps {
		if onSteps(all, step) {
			return step
		}
	}
	return 0
}

// onSteps reports whether masses are whole numbers of steps, to the nanogram or two that
// an ounce is rounded by.
func onSteps(all []measure.Mass, step measure.Mass) bool {
	for _, m := range all {
		count := math.Round(float64(m) / float64(step))
		if math.Abs(float64(m)-count*float64(step)) > 2+count { // ounces are no whole number of nanograms when divided
			return false
		}
	}
	return true
}
