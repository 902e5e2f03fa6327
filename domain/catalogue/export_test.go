package catalogue

// CheckCited and ReadSources are what Shipped makes sure of; ReadStops, ReadCountries,
// ReadNextOwners, ReadUnseen and ReadContraries read the tables that ship beside it.
var (
	CheckCited     = (*Catalogue).checkCited
	ReadSources    = readSources
	ReadStops      = readStops
	ReadCountries  = readCountries
	ReadNextOwners = readNextOwners
	ReadUnseen     = readUnseen
	ReadContraries = readContraries
)
