package figure

import (
	"saponym/internal/font"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// The inks. Yellow is the trail of a word and nothing else; blue is what could be
// otherwise, as everywhere in the product.
var (
	ink      = scene.RGB(0x1B211D)
	second   = scene.RGB(0x424B45) // the second voice
	rule     = scene.RGB(0x747D73)
	hair     = scene.RGB(0xBFC5B7)
	ground   = scene.RGB(0xE3E6DC)
	weld     = scene.RGB(0xF4E04D)
	weldPale = scene.RGB(0xFBF5C0) // weld let down with white: what may be of the trail
	body     = scene.RGB(0x566059) // of gauges
	weldEdge = scene.RGB(0x77690A)
	woad     = scene.RGB(0x1F4B7A)
	white    = scene.RGB(0xFFFFFF)
)

const (
	margin     = 12 * mm
	gaugeWidth = 13 * mm / 5
	besides    = 9 * mm / 5  // between a gauge and its words
	lane       = 26 * mm / 5 // the same where yokes stand between them
	thinnest   = 200 * um    // of what is drawn of any mass that is there
	between    = 2 * mm      // from the name to the grams
)

// A density is how large the letters are and how much room there is.
type density struct {
	title, head, name, note length // sizes of letters
	gap                     length // from node to node
	runOn                   bool   // a range stands on the line of its grams, if it has room there
}

// The roomiest and the tightest setting, and the number of steps between them. No
// letters are below 6 points.
var (
	roomy = density{title: 25 * pt, head: 15 * pt, name: 9 * pt, note: 15 * pt / 2, gap: 5 * mm / 2}
	tight = density{title: 18 * pt, head: 12 * pt, name: 13 * pt / 2, note: 6 * pt, gap: mm}
)

const densitySteps = 5

// densityAt gives the setting of a step, from 0 for the roomiest.
func densityAt(step int) density {
	mix := func(from, to length) length { return from + (to-from)*length(step)/densitySteps }
	return density{
		title: mix(roomy.title, tight.title), head: mix(roomy.head, tight.head),
		name: mix(roomy.name, tight.name), note: mix(roomy.note, tight.note), gap: mix(roomy.gap, tight.gap),
		runOn: 2*step >= densitySteps-1,
	}
}

func sans(size length, colour scene.Ink, field string) text.Style {
	return text.Style{Face: font.SansCondensed, Size: size, Ink: colour, Mark: scene.Mark{Field: field}}
}

func strong(size length, colour scene.Ink, field string) text.Style {
	return text.Style{Face: font.SansCondensedSemiBold, Size: size, Ink: colour, Mark: scene.Mark{Field: field}}
}

func serif(size length) text.Style {
	return text.Style{Face: font.SerifBold, Size: size, Ink: ink}
}

func italic(size length) text.Style {
	return text.Style{Face: font.SerifMediumItalic, Size: size, Ink: second}
}
