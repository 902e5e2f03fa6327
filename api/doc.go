// Package api is "the service": its JSON door over HTTP, one file for each resource. The packages
// below it are what every request passes (middleware), the forms that its answers share (problem,
// etag, page, convert, media), the use cases (app) and the store (postgres).
//
// A handler decodes, makes one call and renders. It reads through app.Read, writes through the use
// cases, and holds no rule of the trade. What a role may see is decided in view.go and nowhere
// else. Whatever goes wrong is returned as an error and becomes a problem document in package
// middleware. Types of the web framework do not leave this package, middleware and problem.
//
//	door, err := api.New(api.Config{App: a, Log: log, CursorKey: key})
//	http.ListenAndServe(address, door)
//
// The contract is openapi/openapi.yaml; server.gen.go is generated from it. The package does not
// terminate TLS, limit rates or serve pages for people.
package api
