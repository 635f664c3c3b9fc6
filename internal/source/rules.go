package source

// The rules of form that every document of a shop folder has to keep. They are
// public ids: kept or retired, and never given a second meaning.
const (
	// Of the file as a whole.

	RuleSize     = "SRC-SIZE"       // the file is larger than a document may be, or has too many parts
	RuleEncoding = "SRC-ENCODING"   // the file is no UTF-8 text: binary, UTF-16, another code page
	RuleNothing  = "SRC-NOTHING"    // the file holds no document
	RuleSyntax   = "SRC-SYNTAX"     // the text is not YAML
	RuleTop      = "SRC-TOP"        // the document is not a list of keys with values
	RuleSecond   = "SRC-SECOND"     // a second document follows the first
	RuleMany     = "SRC-MANY"       // there are more findings than are shown
	RuleBreak    = "SRC-LINE-BREAK" // a character that some programs take for the end of a line
	RuleChar     = "SRC-CHARACTER"  // a character that does not show, or that turns the direction of text

	// Of YAML that says more than the plain text shows.

	RuleAlias   = "SRC-ALIAS"       // an anchor or an alias
	RuleTag     = "SRC-TAG"         // a YAML tag such as !!float
	RuleMerge   = "SRC-MERGE"       // a merge key
	RuleDepth   = "SRC-DEPTH"       // brackets or indentation nested too deeply
	RuleComplex = "SRC-COMPLEX-KEY" // a list or a mapping, or nothing, in place of a key

	// Of keys and values.

	RuleDuplicate = "SRC-DUPLICATE-KEY" // a key that is already there
	RuleUnknown   = "SRC-UNKNOWN-KEY"   // a key that nobody reads
	RuleSplit     = "SRC-SPLIT"         // a text that YAML has split at a comma
	RuleNoValue   = "SRC-NO-VALUE"      // a key or a list entry without a value
	RuleType      = "SRC-TYPE"          // a list where a text is expected, and the like
	RuleLong      = "SRC-LONG"          // a text that is longer than any that is printed
	RuleOneLine   = "SRC-ONE-LINE"      // a line break in a text that stands on one line
	RuleAmount    = "SRC-AMOUNT"        // a weight, length, share or number that cannot be read, or has no unit
	RulePositive  = "SRC-POSITIVE"      // nought where something is needed
	RuleDay       = "SRC-DAY"           // a day that is not in the calendar, or not written as 2026-11-26
	RuleWord      = "SRC-WORD"          // a word that is not one of those that can stand there
)
