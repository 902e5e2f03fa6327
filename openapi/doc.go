// Package openapi holds the contract of the JSON interface: openapi.yaml, and the models generated
// from it.
//
// openapi.yaml is written by hand and comes first; models.gen.go here and server.gen.go in package
// api follow from it (.ci/generate). It is OpenAPI 3.1 in a dialect that means the same with its
// version read as 3.0.3, which is how requests are validated fast; a test keeps the forms out that
// would then be passed over in silence.
//
//	doc, err := openapi.Load()
//
// Beside the standard keywords a schema may carry x-rule: what a value must be, in words for the
// person who sent another.
//
// The package knows no other package of the program and does not validate.
package openapi
