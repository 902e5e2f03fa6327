// Package convert turns values of the domain into the contract's types, and what a request holds
// back into values, in one place for the resources that share them. A resource's own forms are
// converted in its own file of package api.
//
// It decides nothing: what a role may see is said by its caller.
package convert
