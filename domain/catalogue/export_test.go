package catalogue

import "slices"

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

// GroupStoredBefore reports whether documents from before groups were kept get the group of the
// operation.
func GroupStoredBefore(code Code) bool {
	for _, codes := range groupsStoredBefore {
		if slices.Contains(codes, code) {
			return true
		}
	}
	return false
}
