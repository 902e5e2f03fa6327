// Package stock decides what may happen to the parts that the workshop keeps: which parts there
// are, what each move of a part does to its quantity and its value, and which moves are refused.
//
// A [Part] belongs to a [Class], which says how its stock is valued (package valuation). A [Move]
// is never changed; what was entered wrongly is reversed by another. Each move holds its [Entry]s:
// how much of which receipt came into stock or left it, and what of it is out, on which issue,
// scrap, shortage or return to a supplier. So the entries of all moves add up to what is held and
// to what every job got, and later freight finds its way to both.
//
// A move has three dates: the day on which it took place, the open day on which it counts in the
// books (package books), and the instant at which it was recorded.
// Moves are costed in the order in which they are recorded.
//
// It doesn't know orders, bills, reservations or accounts, and nothing here moves the dates of a
// plan.
package stock
