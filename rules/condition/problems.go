package condition

import "whyworn/facts/source"

// Codes for what can be wrong with a condition, a head or a text with
// {expressions}.
var (
	Syntax          = source.Declare("condition-syntax", "a condition is not written as the grammar of conditions wants it")
	TooLarge        = source.Declare("condition-too-large", "a condition is longer, deeper or larger than is read")
	NotAllowed      = source.Declare("condition-form", "a condition uses a form of the expression language that packs do not have")
	UnknownName     = source.Declare("name-not-bound", "a condition speaks of a name that is not bound there")
	UnknownProperty = source.Declare("unknown-property", "a kind of part has no property of that name")
	UnknownFunction = source.Declare("unknown-function", "a condition calls a function that does not exist")
	NotAChoice      = source.Declare("not-a-choice", "a word is not among the choices of the property it is compared with")
	NotOrdered      = source.Declare("not-ordered", "choices that have no order are compared as if they had one")
	UnitMismatch    = source.Declare("unit-mismatch", "two numbers of different dimension meet, or a number lacks its unit")
	WrongType       = source.Declare("wrong-type", "a condition puts a value where one of another type is needed")
	NoEquality      = source.Declare("no-equality", "equality is asked of measured numbers or of yes/no")
	ReadsNothing    = source.Declare("reads-nothing", "a condition or an expression looks nothing up, so its answer is fixed")
	BadArguments    = source.Declare("bad-arguments", "a function is given too few, too many or unfit arguments")
	BadHead         = source.Declare("bad-head", "what is concluded or set is not a name of each and one of its properties")
	TextBraces      = source.Declare("text-braces", "the braces round an {expression} in a text do not pair")
)
