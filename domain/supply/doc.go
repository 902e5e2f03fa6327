// Package supply decides what may happen between the workshop and those who sell it parts: what is
// ordered, what a delivery brings and leaves outstanding, and what goes back.
//
// An [Order] has lines, each with the price agreed for it. How far a line has come follows from the
// deliveries, returns and cancellations that name it; none of them is ever changed. A [Delivery]
// turns each of its lines into a receipt of stock at the order's price, converted at the order's
// rate. Until the supplier's bill comes that value is owed and not billed.
//
// It moves no stock itself: it says at which value a part comes in, and package stock says what
// that does. It doesn't know accounts. [Sources.Await] says what tasks wait for, and plans
// rest on that.
package supply
