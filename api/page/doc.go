// Package page decides how a list is read page by page: the default limit, the signed cursor that
// marks where the next page starts, and the Link header that leads there.
//
// The package does not decide the order of a list, nor what is in it: each query of the store does.
package page
