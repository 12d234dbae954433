package handbook

// A tint is one line of a published table of temper colours on plain carbon
// steel, bright surface, short heating. A table printed in °F gives f, one
// printed in °C gives c, one printed in both gives both; the other is 0.
type tint struct {
	source string // key of tintSources
	colour string // as the source names it (translated where needed)
	family string // one of tintFamilies
	f, c   float64
	// fLow and fHigh are the spread in °F where the table compares sources.
	fLow, fHigh float64
	oxide       float64 // nm, 0 where not given
}

// tintFamilies in the order in which they come with rising temperature.
var tintFamilies = []string{"pale_yellow", "straw", "brown", "purple", "blue", "light_blue", "grey"}

// tintSources names the tables; memory marks those recalled, not read.
var tintSources = []struct {
	key, title string
	memory     bool
}{
	{"machinery", "Machinery's Handbook, temperatures indicated by colour, tempering of carbon steel", true},
	{"five_compared", "Colvin and Juthe, The Working of Steel (1921), average over five sources", false},
	{"working_of_steel", "Colvin and Juthe, The Working of Steel, Table 26", false},
	{"dooley", "Dooley, Applied Science for Metal Workers", false},
	{"butt", "Butt, The Tinman's Manual and Builder's and Mechanic's Handbook", false},
	{"gauge_plate", "temper colour chart of a gauge-plate supplier", false},
	{"gunsmith", "tool-steel colour chart posted on a gunsmith forum", false},
	{"german", "German-language encyclopaedia, table of annealing colours", false},
	{"plating", "plating-trade lexicon, annealing colours with oxide thickness", false},
	{"encyclopaedia", "general encyclopaedia, temper colours of carbon steel", false},
}

var tints = []tint{
	{source: "machinery", colour: "very pale yellow", family: "pale_yellow", f: 430},
	{source: "machinery", colour: "spotted red-brown", family: "brown", f: 510},
	{source: "machinery", colour: "full blue", family: "blue", f: 560},
	{source: "machinery", colour: "light yellow", family: "pale_yellow", f: 440},
	{source: "machinery", colour: "pale straw-yellow", family: "straw", f: 450},
	{source: "machinery", colour: "straw-yellow", family: "straw", f: 460},
	{source: "machinery", colour: "deep straw-yellow", family: "straw", f: 470},
	{source: "machinery", colour: "dark yellow", family: "straw", f: 480},
	{source: "machinery", colour: "yellow-brown", family: "brown", f: 490},
	{source: "machinery", colour: "brown-yellow", family: "brown", f: 500},
	{source: "machinery", colour: "brown-purple", family: "purple", f: 520},
	{source: "machinery", colour: "light purple", family: "purple", f: 530},
	{source: "machinery", colour: "full purple", family: "purple", f: 540},
	{source: "machinery", colour: "dark purple", family: "purple", f: 550},
	{source: "machinery", colour: "dark blue", family: "blue", f: 570},
	{source: "machinery", colour: "light blue", family: "light_blue", f: 640},
	{source: "five_compared", colour: "dark straw", family: "straw", f: 478, fLow: 450, fHigh: 500},
	{source: "five_compared", colour: "purple, reddish", family: "purple", f: 523, fLow: 510, fHigh: 530},
	{source: "five_compared", colour: "purple, bluish", family: "purple", f: 551, fLow: 550, fHigh: 555},
	{source: "five_compared", colour: "grey blue", family: "grey", f: 603, fLow: 600, fHigh: 610},
	{source: "five_compared", colour: "greenish blue", family: "grey", f: 627, fLow: 625, fHigh: 630},
	{source: "working_of_steel", colour: "brown-yellow", family: "brown", f: 500},
	{source: "working_of_steel", colour: "light purple", family: "purple", f: 530},
	{source: "working_of_steel", colour: "pale blue", family: "light_blue", f: 580},
	{source: "working_of_steel", colour: "blue", family: "blue", f: 600},
	{source: "dooley", colour: "very pale yellow", family: "pale_yellow", f: 430},
	{source: "dooley", colour: "straw yellow", family: "straw", f: 460},
	{source: "dooley", colour: "yellow tinged with purple", family: "purple", f: 520},
	{source: "dooley", colour: "light purple", family: "purple", f: 530},
	{source: "dooley", colour: "dark purple", family: "purple", f: 550},
	{source: "dooley", colour: "pale blue", family: "light_blue", f: 610},
	{source: "dooley", colour: "blue tinged with green", family: "grey", f: 630},
	{source: "butt", colour: "very pale straw", family: "pale_yellow", f: 430},
	{source: "butt", colour: "straw", family: "straw", f: 450},
	{source: "butt", colour: "slightly tinged purple", family: "purple", f: 520},
	{source: "butt", colour: "purple", family: "purple", f: 530},
	{source: "butt", colour: "dark purple", family: "purple", f: 550},
	{source: "butt", colour: "blue", family: "blue", f: 570},
	{source: "gauge_plate", colour: "light yellow", family: "pale_yellow", f: 410, c: 210},
	{source: "gauge_plate", colour: "straw", family: "straw", f: 430, c: 220},
	{source: "gauge_plate", colour: "yellow", family: "straw", f: 450, c: 230},
	{source: "gauge_plate", colour: "yellow brown", family: "brown", f: 480, c: 250},
	{source: "gauge_plate", colour: "red brown", family: "brown", f: 500, c: 260},
	{source: "gauge_plate", colour: "purple", family: "purple", f: 520, c: 270},
	{source: "gauge_plate", colour: "violet", family: "purple", f: 530, c: 280},
	{source: "gauge_plate", colour: "wedgwood blue", family: "blue", f: 570, c: 300},
	{source: "gauge_plate", colour: "grey blue", family: "grey", f: 610, c: 320},
	{source: "gauge_plate", colour: "grey green", family: "grey", f: 630, c: 330},
	{source: "gunsmith", colour: "dark straw", family: "straw", f: 465},
	{source: "gunsmith", colour: "brown", family: "brown", f: 480},
	{source: "gunsmith", colour: "brown/purple", family: "purple", f: 500},
	{source: "gunsmith", colour: "dark purple", family: "purple", f: 540},
	{source: "gunsmith", colour: "blue", family: "blue", f: 575},
	{source: "german", colour: "white-yellow", family: "pale_yellow", c: 200},
	{source: "german", colour: "straw yellow", family: "straw", c: 220},
	{source: "german", colour: "yellow-brown", family: "brown", c: 240},
	{source: "german", colour: "brown-red", family: "brown", c: 250},
	{source: "german", colour: "red", family: "purple", c: 260},
	{source: "german", colour: "purple-red", family: "purple", c: 270},
	{source: "german", colour: "violet", family: "purple", c: 280},
	{source: "german", colour: "dark blue", family: "blue", c: 290},
	{source: "german", colour: "blue-grey", family: "grey", c: 340},
	{source: "german", colour: "grey", family: "grey", c: 360},
	{source: "plating", colour: "pale yellow", family: "pale_yellow", c: 220, oxide: 5},
	{source: "plating", colour: "light yellow", family: "pale_yellow", c: 232, oxide: 25},
	{source: "plating", colour: "straw yellow", family: "straw", c: 243, oxide: 46},
	{source: "plating", colour: "purple", family: "purple", c: 277, oxide: 63},
	{source: "plating", colour: "cornflower blue", family: "blue", c: 293, oxide: 72},
	{source: "encyclopaedia", colour: "straw", family: "straw", c: 220},
	{source: "encyclopaedia", colour: "purple", family: "purple", c: 260},
	{source: "encyclopaedia", colour: "dark blue", family: "blue", c: 300},
}
