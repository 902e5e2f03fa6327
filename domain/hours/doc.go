// Package hours decides which hours of the crew are taken down, and what they add up to.
//
// An [Entry] is time that one person worked on one day, on a task of a job or as a standing duty.
// Entries are added and never changed: what was wrong is taken back by an entry that names it, and
// entered anew. So two people who book on one task at once both count, and the hours of the task
// are the sum of its entries.
//
// An entry is pending until somebody approves the person's week, with all that is pending in it.
// What comes to an approved week later is a correction: it says why, and is pending until the week
// is approved once more.
//
// Three dates belong to an entry: the day of the work, the instant of recording, and, once books
// are kept, the day of posting, which will be the approval's, since only approved hours are posted.
//
// The package knows nothing of what hours cost, and of a job only its id: what a task says to hours
// is for package job to decide.
package hours
