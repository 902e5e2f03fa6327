package catalogue

// The closed lists of the catalogue. Check reports a word that isn't in its list.

// Phases are the stages of a job, in the order of the trade.
var Phases = []string{
	"intake", "dismantling", "belly", "frame", "stringing", "action", "keys", "dampers",
	"casework", "regulation", "voicing", "tuning", "handover",
}

// Skills are the trades of a crew; labour rates go by them. A specialist is always an outside firm.
var Skills = []string{
	"survey", "general", "stringing", "belly", "action", "cabinet", "finishing", "gilding",
	"tuning", "haulage", "specialist",
}

// Stations are the places of limited number that work occupies. Work at a desk, on a journey or at
// an outside firm has the empty station.
var Stations = []string{
	"", "intake bay", "bench", "action bench", "frame hoist", "drying room", "dust-free room",
	"strip bay", "sanding bay", "spray booth", "polishing room", "buffing bench", "quiet room",
	"showroom",
}

// Subassemblies are the parts of an instrument that are worked on separately. The body is rim,
// braces, plank, board and bridges together; case_parts are what comes off the rim.
var Subassemblies = []string{
	"whole", "body", "frame", "action", "keyboard", "dampers", "lyre", "case_parts", "hardware",
}

// Drivers are what hours and materials scale with. "m2 of case" is the whole case, rim and loose
// parts together: rows for one of the two carry its share in their rates.
var Drivers = []string{
	"instrument", "crew visit", "visit", "lot", "pass", "note", "key", "hammer", "roller", "centre",
	"natural", "sharp", "damper", "string", "plain string", "covered string", "string replaced",
	"hole (rest pin)", "pin treated", "pin bushing", "bridge pin", "kg of plain wire",
	"bridge note", "agraffe note", "rib", "metre of crack", "metre of frame crack",
	"m2 of board", "m2 of frame", "m2 of case", "m2 of veneer laid or relaid",
	"letter", "complex item", "piece", "piece replaced",
}

// Emissions are what work gives off and other work can't bear.
var Emissions = []string{"", "dust", "noise", "solvent_vapour", "styrene"}

// RoomNeeds are what work needs of the room it is done in.
var RoomNeeds = []string{"", "dust_free", "quiet", "ventilated", "humidity_stable"}

// Units are the canonical units of survey points that are measured, counted or graded. A word
// behind the unit says what is measured.
var Units = []string{
	"mm", "mm lost motion", "m", "m2", "N.m", "g", "s", "degree", "cents", "years", "grade",
	"percent", "percent RH", "percent MC", "percent of felt",
	"keys", "strings", "notes", "ribs", "pins", "hammers", "swings", "pieces", "items",
}

// Standings are the words that a Standing begins with, best first.
var Standings = []string{"source S", "derived", "common practice, no source", "from memory", Own}
