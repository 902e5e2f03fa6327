// Package sheet writes a bid on one page: what a buyer carries into the room.
//
// It computes nothing. It picks from a bid as it was worked out, says what was left out, and keeps
// to one page; the bid itself has the rest.
package sheet
