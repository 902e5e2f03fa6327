package catalogue

// CheckCited and ReadSources are what Shipped makes sure of; ReadStops and ReadCountries read the
// tables that ship beside it.
var (
	CheckCited    = (*Catalogue).checkCited
	ReadSources   = readSources
	ReadStops     = readStops
	ReadCountries = readCountries
)
