package domain

import "slices"

// Role is what a member of a workshop does there.
type Role string

// The roles of a workshop.
const (
	Owner      Role = "owner"
	Buyer      Role = "buyer"
	Manager    Role = "manager"
	Bench      Role = "bench"
	Bookkeeper Role = "bookkeeper"
	Viewer     Role = "viewer"
)

// Roles lists every role.
var Roles = []Role{Owner, Buyer, Manager, Bench, Bookkeeper, Viewer}

// Act is something that a role may or may not do.
type Act string

// The acts that are guarded. What is not listed for a role is refused.
const (
	ReadShop         Act = "read_shop"         // instruments, surveys, scopes, dates
	ReadMoney        Act = "read_money"        // purchase prices, estimates in money, margins, bids
	WriteInstruments Act = "write_instruments" // instruments, surveys, findings
	WriteScopes      Act = "write_scopes"
	WriteBids        Act = "write_bids"
	WriteJobs        Act = "write_jobs"
	WriteProgress    Act = "write_progress" // hours left on a task
	WriteSettings    Act = "write_settings" // rates, calendar, crew, stations, catalogue
	IssueTokens      Act = "issue_tokens"
	ReadFeed         Act = "read_feed"
	ReadParties      Act = "read_parties" // names and addresses of clients and sellers
	WriteParties     Act = "write_parties"
)

// allowed is the one table of who may do what; JSON, pages, CSV and PDF all
// pass it. The bench never sees purchase prices and margins.
var allowed = map[Role][]Act{
	Owner:      {ReadShop, ReadMoney, WriteInstruments, WriteScopes, WriteBids, WriteJobs, WriteProgress, WriteSettings, IssueTokens, ReadFeed, ReadParties, WriteParties},
	Buyer:      {ReadShop, ReadMoney, WriteInstruments, WriteScopes, WriteBids, ReadParties, WriteParties},
	Manager:    {ReadShop, ReadMoney, WriteInstruments, WriteScopes, WriteJobs, WriteProgress, WriteSettings, ReadParties, WriteParties},
	Bench:      {ReadShop, WriteInstruments, WriteProgress},
	Bookkeeper: {ReadShop, ReadMoney, ReadFeed, ReadParties},
	Viewer:     {ReadShop},
}

// May reports whether the role may do the act.
func (r Role) May(a Act) bool { return slices.Contains(allowed[r], a) }

// Valid reports whether r is a known role.
func (r Role) Valid() bool { return slices.Contains(Roles, r) }
