package catalogue

// CheckCited and ReadSources are what Shipped makes sure of; ReadStops, ReadCountries and
// ReadNextOwners read the tables that ship beside it.
var (
	CheckCited     = (*Catalogue).checkCited
	ReadSources    = readSources
	ReadStops      = readStops
	ReadCountries  = readCountries
	ReadNextOwners = readNextOwners
)
