package formula

// The rules that a document of a shop has to keep to be one thing and not two.
// They are public ids: kept or retired, and never given a second meaning.
const (
	// Of every document.

	RuleID      = "FORM-ID"      // a file name, or the name of a material, that is no id
	RuleMissing = "FORM-MISSING" // something that the document cannot do without
	RuleOneOf   = "FORM-ONE-OF"  // none, or more than one, of things that exclude each other
	RuleOver    = "FORM-OVER"    // a share of a whole that is more than the whole
	RuleLink    = "FORM-LINK"    // an address that a phone could not open

	// Of a formula.

	RulePotMixed   = "FORM-POT-MIXED"   // weights and shares side by side in the pot
	RulePotSum     = "FORM-POT-SUM"     // shares of the pot that are not 100 % together
	RulePotSize    = "FORM-POT-SIZE"    // shares of the pot, and nothing that says of how much
	RuleRepeated   = "FORM-REPEATED"    // one material on two lines of a list
	RuleBaseSize   = "FORM-BASE-SIZE"   // a size by oils of a base, which has none
	RuleNoLye      = "FORM-NO-LYE"      // a pot without a lye, or a lye without a pot
	RuleBase       = "FORM-BASE"        // a ready-made base and a pot in one formula
	RuleAlkali     = "FORM-ALKALI"      // a lye that does not say what alkali it is of
	RuleLyeShares  = "FORM-LYE-SHARES"  // shares of two alkalis that are missing, or not 100 %
	RuleLiquids    = "FORM-LIQUIDS"     // liquids that are more than all of the water
	RuleSuperfat   = "FORM-SUPERFAT"    // a superfat over 100 %
	RulePurity     = "FORM-PURITY"      // a purity of nought or over 100 %, or so with the carbonate
	RuleStrength   = "FORM-STRENGTH"    // a lye without water, or without alkali
	RulePortions   = "FORM-PORTIONS"    // portions that are not 100 % together
	RulePortion    = "FORM-PORTION"     // a portion that is not there, or not yet
	RuleWith       = "FORM-WITH"        // an addition that cannot be stirred into what stands with it
	RuleCutName    = "FORM-CUT-NAME"    // a name that a batch uses for something else
	RuleCount      = "FORM-COUNT"       // no bars at all
	RuleGTIN       = "FORM-GTIN"        // a GTIN with a wrong length or a wrong check digit
	RuleLike       = "FORM-LIKE"        // a variant of a formula that is not there, or of itself
	RuleWrittenFor = "FORM-WRITTEN-FOR" // weights of a variant that were written for two sizes

	// Of a material.

	RuleSAP      = "FORM-SAP"      // a saponification value that no fat has
	RuleMoist    = "FORM-MOIST"    // water, fat and the like that cannot be in one thing
	RuleFatOf    = "FORM-FAT-OF"   // a fat of an oil that is not built in
	RuleAcid     = "FORM-ACID"     // a fatty acid that is not known, or stands there twice
	RuleProfile  = "FORM-PROFILE"  // fatty acids that are more than 100 % together
	RuleContains = "FORM-CONTAINS" // constituents that cannot be 100 % together
	RuleRising   = "FORM-RISING"   // a list with a share that rises against the order that is said
	RuleOrder    = "FORM-ORDER"    // a list of which nobody has said what its order means
	RuleRounded  = "FORM-ROUNDED"  // shares that miss the whole, or rise, by no more than rounding
	RuleLong     = "FORM-LONG"     // a list of more constituents than any supplier's
	RuleKind     = "FORM-KIND"     // a figure that a material of this kind does not have
	RuleAllergen = "FORM-ALLERGEN" // allergens that are more than 100 % together

	// Of materials that are made of other materials.

	RuleConstituent = "FORM-CONSTITUENT" // a constituent that is no material
	RuleCircle      = "FORM-CIRCLE"      // a material that contains itself
	RuleNested      = "FORM-NESTED"      // materials too many of which stand one inside the other
	RuleInside      = "FORM-INSIDE"      // a material that cannot stand inside another

	// Of a batch.

	RuleCode     = "FORM-CODE"      // a batch code that is not the name of its file
	RuleCorrects = "FORM-CORRECTS"  // a correction of an entry that is not there
	RuleDayOrder = "FORM-DAY-ORDER" // something that happened before the batch was made

	// Of a batch beside its formula.

	RuleOtherAlkali  = "FORM-OTHER-ALKALI"  // an alkali went in that the formula does not have
	RuleOtherThing   = "FORM-OTHER-THING"   // anything else went in that the formula does not have
	RulePartWeighed  = "FORM-PART-WEIGHED"  // weights that are of no use without others that are missing
	RuleUnweighed    = "FORM-UNWEIGHED"     // no weights at all
	RuleUnusedWeight = "FORM-UNUSED-WEIGHT" // a weight in whose place the formula's amount is taken
)
