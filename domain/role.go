package domain

import (
	"slices"
)

// Role is what a member of a workshop does there. It decides what the member may do.
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

// Permission is something that a role may do.
type Permission string

// The permissions.
const (
	ReadShop Permission = "read_shop" // instruments, surveys, scopes, dates
	// purchase prices, estimates in money, margins, bids
	ReadMoney        Permission = "read_money"
	WriteInstruments Permission = "write_instruments" // instruments, surveys, findings
	WriteScopes      Permission = "write_scopes"
	WriteBids        Permission = "write_bids"
	WriteJobs        Permission = "write_jobs"
	WriteProgress    Permission = "write_progress" // hours worked, and those left on a task
	// approve the hours of a week, and enter those of other people
	ApproveHours   Permission = "approve_hours"
	ReadTimesheets Permission = "read_timesheets" // of other people
	WriteSettings  Permission = "write_settings"  // rates, calendar, crew, stations, catalogue
	IssueTokens    Permission = "issue_tokens"
	ReadFeed       Permission = "read_feed"
	ReadParties    Permission = "read_parties" // names and addresses of clients and sellers
	WriteParties   Permission = "write_parties"
	ClearStops     Permission = "clear_stops" // those of them that the stop lets clear it
	MoveStock      Permission = "move_stock"  // parts to jobs and back
	// parts themselves, receipts, counts and corrections
	WriteStock Permission = "write_stock"
	WriteCosts Permission = "write_costs" // purchases, outside work, other direct costs
	// what is asked for an instrument
	WriteShowroom Permission = "write_showroom"
	// deposits, sales, hand-overs and returns of instruments
	WriteSales Permission = "write_sales"
	// close the books through a day, and open them again; overhead and what becomes of it
	CloseBooks Permission = "close_books"
)

// permissions is the one table of who may do what: what it doesn't list is refused. The bench never
// sees purchase prices and margins.
var permissions = map[Role][]Permission{
	Owner: {
		ReadShop, ReadMoney, WriteInstruments, WriteScopes, WriteBids, WriteJobs, WriteProgress,
		ApproveHours, ReadTimesheets, WriteSettings, IssueTokens, ReadFeed, ReadParties, WriteParties,
		ClearStops, MoveStock, WriteStock, WriteCosts, WriteShowroom, WriteSales, CloseBooks,
	},
	Buyer: {
		ReadShop, ReadMoney, WriteInstruments, WriteScopes, WriteBids, ReadParties, WriteParties,
		ClearStops, WriteShowroom,
	},
	Manager: {
		ReadShop, ReadMoney, WriteInstruments, WriteScopes, WriteJobs, WriteProgress, ApproveHours,
		ReadTimesheets, WriteSettings, ReadFeed, ReadParties, WriteParties, ClearStops, MoveStock,
		WriteStock, WriteCosts, WriteShowroom, WriteSales,
	},
	Bench: {ReadShop, WriteInstruments, WriteProgress, MoveStock},
	Bookkeeper: {
		ReadShop, ReadMoney, ReadTimesheets, ReadFeed, ReadParties, MoveStock, WriteStock, WriteCosts,
		WriteSales, CloseBooks,
	},
	Viewer: {ReadShop},
}

// May reports whether the role has a permission.
func (r Role) May(p Permission) bool { return slices.Contains(permissions[r], p) }

// Valid reports whether r is a known role.
func (r Role) Valid() bool { return slices.Contains(Roles, r) }
