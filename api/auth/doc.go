// Package auth makes and recognises bearer tokens. It is mechanism only: who may do what is the
// table of package domain.
//
// A token is 256 random bits, so its SHA-256 is all that need be kept: there is nothing to guess,
// and no slow hash is called for.
package auth
