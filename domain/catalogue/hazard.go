package catalogue

// Deference goes with every caution that is shown.
const Deference = "This is orientation, not advice: the product's data sheet, your own risk assessment, " +
	"the law where you work and licensed people come first."

// cautions are the texts to show beside an operation, by hazard key. Legal limits are left out on
// purpose: they differ from place to place and change.
var cautions = map[string]string{
	"string_tension":  "Tonnes of pull: let it down evenly in turns, never turn a frame bolt under load, keep your face out of the string's line.",
	"eye":             "Eye protection on before a string is touched.",
	"cuts":            "Cut wire whips and cuts: gloves and eye protection.",
	"lifting":         "Two people or more, straps and skid; a piano on its edge is top-heavy.",
	"hoist":           "Rated and inspected gear, three or four slings that can't slide, lift no higher than needed, nobody beneath.",
	"machines":        "Guards on, hearing and dust protection.",
	"heat":            "Heaters are not left alone, nor near finish, plank or board.",
	"electrical":      "Residual-current protection, sound leads, the maker's fitting.",
	"needles":         "Needles slip: hand behind the point.",
	"wood_dust":       "Extract at the source, mask to the local standard, no dry sweeping; hardwood dust can cause cancer.",
	"finish_dust":     "Extract at the source, mask; dry finish dust burns.",
	"metal_dust":      "Fine metal dust burns and harms lungs: extract, mask.",
	"solvent_fire":    "Vapour lies low and flashes: extract, no ignition, cans bonded.",
	"stripper":        "Gloves, eyes, air; some strippers are restricted to trained users: ask the local rule.",
	"cyanoacrylate":   "Bonds skin and stings eyes: gloves, goggles, air.",
	"epoxy":           "Can sensitise for life: gloves, no skin contact.",
	"bleach":          "Oxalic acid is poisonous and peroxide feeds fire: gloves, goggles, data sheet at hand.",
	"styrene":         "Extracted booth and respirator, exposure watched, no flame.",
	"peroxide":        "Never let peroxide meet accelerator; store cool and apart, never thin it with acetone.",
	"oily_rags":       "Oily rags heat up by themselves: spread to dry outdoors or drown in a lidded can, none left overnight.",
	"lead_dust":       "Lead corrosion is poisonous: wipe wet, fine-filter vacuum, gloves, wash, no food near.",
	"lead_paint":      "Test old coloured paint before it is sanded; work wet.",
	"live_worm":       "Live worm flies from piece to piece and what kills it is poisonous: keep it apart, treat by the product's data sheet, gloves, air, no food near.",
	"moth_residue":    "Felt may hold old moth poisons: gloves, extraction.",
	"celluloid_fire":  "Old plastic key tops may be celluloid and burn fiercely: no heat gun, no flame, no power sander.",
	"ivory_law":       "Ivory: stop until date evidence and any registration are on file; ask the authority where you are.",
	"specialist_only": "Not for the shop: a specialist, with a report on file.",
}

// Caution returns the text to show for a hazard key, to be followed by Deference; an empty text for
// an unknown key.
func Caution(hazard string) string { return cautions[hazard] }
