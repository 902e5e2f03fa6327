// Package books decides on which day of the books a record counts.
//
// Every record that costs an instrument something has three dates: the day on which it took place,
// the day on which it counts in the books, and the instant of recording. A workshop closes its
// books through a day ([Books.Close]), and from then on nothing counts on that day or before: what
// is recorded late counts on the first open day ([Books.PostingDay]). So no figure as the books had
// it at the end of a closed day ever changes.
//
// The books are closed from the beginning to one day, without a gap. What is reopened is therefore
// everything from a day on ([Books.Reopen]): a record that came into one month with the next one
// closed would change what that next month ended with.
//
// The package knows no accounts and no amounts. What counts on which day by its own rule, as hours
// on the day of their approval, is for the room of the record to say.
package books
