// Package turns decides when a computation may run: it takes a turn of a bounded queue that is fair
// between workshops. It also bounds how long a search goes on while others wait, and lowers the
// priority of the thread. What is computed is nothing to it.
package turns
