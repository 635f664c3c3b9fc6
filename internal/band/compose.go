package band

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"saponym/internal/finding"
	"saponym/internal/font"
	"saponym/internal/label"
	"saponym/internal/measure"
	"saponym/internal/scene"
	"saponym/internal/text"
)

// A composition is one attempt at a band: what was placed, and what found no
// room.
type composition struct {
	*solver
	set   setting
	blank Blank

	ornament []scene.Item
	words    []scene.Item
	misses   []miss
	broken   []string // lists that were set tighter than they like
	leftOut  []string
	moved    []string

	reach   measure.Length // how far the free space of the net weight passes the folds of the front
	tile    measure.Length // side of the tiles of the front, which the other walls follow
	waiting []label.Statement
}

// attempt lays out the whole band with one setting. The front comes first,
// because the free space round the net weight binds the sides, and the side
// before the back, which takes what the side cannot hold.
func (s *solver) attempt(set setting) (*composition, error) {
	c := &composition{solver: s, set: set, blank: newBlank(s.content.Bar, s.template.Paper, set.breadth), tile: s.look.Tiles.Side}
	for _, panel := range []func() error{c.front, c.side1, c.side2, c.back} {
		if err := panel(); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// scene gives what was placed: the ornament below, the words above and in the
// order in which they are read.
func (c *composition) scene() scene.Scene {
	return scene.Scene{Size: c.blank.Size, Items: slices.Concat(c.ornament, c.words)}
}

// A faultyText is a text with characters that its face does not have.
type faultyText struct {
	statement label.Statement
	cause     *text.CharacterError
}

func (e *faultyText) Error() string { return e.cause.Error() }

func (e *faultyText) finding(market string) finding.Finding {
	return finding.Finding{Level: finding.Stop, Rule: RuleCharacter, Market: market,
		Message: fmt.Sprintf("%s cannot be printed: %v", titleOf(e.statement.Duty), e.cause),
		Remedy:  fmt.Sprintf("take these characters out of %q, or write them with letters of the Latin script", e.statement.Field)}
}

// known turns an error of package text about a statement into what Lay can tell:
// characters that cannot be set. Others pass unchanged.
func known(s label.Statement, err error) error {
	var characters *text.CharacterError
	if errors.As(err, &characters) {
		return &faultyText{s, characters}
	}
	return err
}

// A title is how sentences speak of a statement.
type title struct{ bare, whole string }

var titles = map[label.Duty]title{
	label.DutyName:        {"name of the product", "the name of the product"},
	label.DutyIdentity:    {"identity", "the identity of the product"},
	label.DutyTagline:     {"tagline", "the tagline"},
	label.DutyNetQuantity: {"net weight", "the net weight"},
	label.DutyIngredients: {"ingredient list", "the ingredient list"},
	label.DutyCaution:     {"caution", "the caution"},
	label.DutyMaker:       {"name and place of the maker", "the name and place of the maker"},
	label.DutyResponsible: {"responsible person", "the responsible person"},
	label.DutyOrigin:      {"origin", "the origin"},
	label.DutyContact:     {"contact", "the contact"},
	label.DutyBatch:       {"batch code", "the batch code"},
	label.DutyDurability:  {"date", "the date of durability"},
}

func titleOf(duty label.Duty) string {
	if t, ok := titles[duty]; ok {
		return t.whole
	}
	return fmt.Sprintf("the statement %q", duty)
}

// titlesOf names statements for a sentence, each duty once.
func titlesOf(statements []label.Statement) string {
	var all []string
	for _, s := range statements {
		if title := titleOf(s.Duty); !slices.Contains(all, title) {
			all = append(all, title)
		}
	}
	return list(all)
}

// list joins words for a sentence.
func list(words []string) string { return strings.Join(words, ", ") }

// statements gives the statements of some duties in the order of the duties.
func (s *solver) statements(duties []label.Duty) []label.Statement {
	var all []label.Statement
	for _, duty := range duties {
		for _, statement := range s.content.Statements {
			if statement.Duty == duty {
				all = append(all, statement)
			}
		}
	}
	return all
}

// rest gives the statements that the template places nowhere.
func (s *solver) rest() []label.Statement {
	t := s.template
	placed := slices.Concat(t.Front, t.Side, t.Foot, t.Back)
	var all []label.Statement
	for _, statement := range s.content.Statements {
		if !slices.Contains(placed, statement.Duty) {
			all = append(all, statement)
		}
	}
	return all
}

// mayLeaveOut reports whether a statement yields when there is no room for it.
func (s *solver) mayLeaveOut(statement label.Statement) bool {
	return !statement.Required && slices.Contains(s.template.Optional, statement.Duty)
}

// least gives the least height that a statement asks of its letters.
func (s *solver) least(statement label.Statement) measure.Length {
	return statement.Letters.Least(s.content.Bar.Face())
}

// sizeFor gives the least size at which the letters of a face are so high as a
// statement asks.
func (s *solver) sizeFor(f *font.Font, statement label.Statement) measure.Length {
	height := s.least(statement)
	switch statement.Letters.Measured {
	case label.Capital:
		return f.SizeForCap(height)
	case label.Figures:
		return f.SizeForFigure(height)
	}
	return f.SizeForX(height)
}

// smallSize gives the size in which a statement is set as small text.
func (c *composition) smallSize(face scene.Face, statement label.Statement) (measure.Length, error) {
	f, err := font.Open(face)
	if err != nil {
		return 0, err
	}
	return max(f.SizeForX(c.set.height), c.sizeFor(f, statement)), nil
}

// A block is a statement as lines, with the measures that stack it.
type block struct {
	statement    label.Statement
	lines        []text.Line
	pitch        measure.Length
	above, below measure.Length // of the ink about the first and the last baseline
	gap          measure.Length // to the block before it, beside the pitch
}

// height gives the height of the block's ink.
func (b block) height() measure.Length {
	if len(b.lines) == 0 {
		return 0
	}
	return b.above + measure.Length(len(b.lines)-1)*b.pitch + b.below
}

// stack gives the height of blocks one below the other, ink to ink.
func stack(blocks []block) measure.Length {
	var total measure.Length
	for i, b := range blocks {
		total += b.height()
		if i > 0 {
			total += b.lead(blocks[i-1])
		}
	}
	return total
}

// lead gives the free space between the ink of a block and that of the one
// before it: the baselines stand a pitch and a gap apart.
func (b block) lead(before block) measure.Length {
	return max(b.pitch+b.gap-before.below-b.above, 0)
}

// place sets blocks from a height downwards. The x is that of the left edge or
// of the middle, as the alignment says. It gives the lower end of the ink.
func (c *composition) place(blocks []block, x, y measure.Length, align text.Align) measure.Length {
	for i, b := range blocks {
		if i > 0 {
			y += b.lead(blocks[i-1])
		}
		c.words = append(c.words, text.Set(b.lines, scene.Point{X: x, Y: y + b.above}, b.pitch, align)...)
		y += b.height()
	}
	return y
}

// A voice is a pair of faces, for words and for words that stand out.
type voice struct{ face, strong scene.Face }

func (d Display) voice() voice { return voice{d.Face, d.Strong} }

// block breaks a statement into lines of at most a width, as small text. The
// error is a [*text.WideError] where a word is wider than that.
func (c *composition) block(s label.Statement, v voice, width measure.Length) (block, error) {
	words, err := c.wordsOf(s, v)
	if err != nil {
		return block{}, err
	}
	b, err := c.measured(s, v)
	if err != nil {
		return block{}, err
	}
	for _, paragraph := range words {
		broken, err := text.Break(paragraph, text.Column{Width: width})
		if err != nil {
			return block{}, known(s, err)
		}
		b.lines = append(b.lines, broken.Lines...)
	}
	return b, nil
}

// measured gives the block of a statement before it has lines.
func (c *composition) measured(s label.Statement, v voice) (block, error) {
	size, err := c.smallSize(v.face, s)
	if err != nil {
		return block{}, err
	}
	f, err := font.Open(v.face)
	if err != nil {
		return block{}, err
	}
	pitch := measure.Length(c.template.Small.Pitch[c.set.pitch] * float64(size))
	return block{statement: s, pitch: pitch, above: f.Ascent(size), below: f.Descent(size),
		gap: measure.Length(c.template.Small.Gap * float64(pitch))}, nil
}

// wordsOf gives the words of a statement, a slice for each paragraph. The
// heading stands before the first one. Without a heading, the first of several
// lines of an address stands out: it is the name.
func (c *composition) wordsOf(s label.Statement, v voice) ([][]text.Word, error) {
	size, err := c.smallSize(v.face, s)
	if err != nil {
		return nil, err
	}
	plain := text.Style{Face: v.face, Size: size, Ink: c.way.Ink, Mark: scene.Mark{Duty: string(s.Duty), Field: s.Field}}
	strong := plain
	strong.Face = v.strong
	if s.Bold {
		plain = strong
	}
	var paragraphs [][]text.Word
	if len(s.Names) > 0 {
		paragraphs = append(paragraphs, text.Names(normalised(s.Names), plain, text.Cost(c.template.Small.Break)))
	}
	for i, line := range s.Lines {
		style := plain
		if i == 0 && (s.Duty == label.DutyMaker || s.Duty == label.DutyResponsible) {
			style = strong
		}
		words := text.Words(font.Normalise(line), style)
		if s.Duty == label.DutyContact {
			words = addresses(words)
		}
		paragraphs = append(paragraphs, words)
	}
	if s.Heading != "" {
		heading := text.Words(font.Normalise(s.Heading), strong)
		if len(paragraphs) == 0 {
			return [][]text.Word{heading}, nil
		}
		paragraphs[0] = append(heading, paragraphs[0]...)
	}
	return paragraphs, nil
}

func normalised(names []string) []string {
	all := make([]string, len(names))
	for i, n := range names {
		all[i] = font.Normalise(n)
	}
	return all
}

// addresses lets a line end after the @ of a mail address and after a slash of a
// web address. Such an end is worth a few millimetres of slack.
func addresses(words []text.Word) []text.Word {
	const cost = 6
	var all []text.Word
	for _, w := range words {
		rest := w.Text
		for {
			i := strings.IndexAny(rest, "@/")
			if i < 0 || i+1 == len(rest) {
				break
			}
			for i+1 < len(rest) && rest[i+1] == '/' {
				i++
			}
			all = append(all, text.Word{Text: rest[:i+1], Style: w.Style, Break: cost})
			rest = rest[i+1:]
		}
		w.Text = rest
		if rest != "" {
			all = append(all, w)
		}
	}
	return all
}
