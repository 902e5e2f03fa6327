// Package etag writes and parses entity tags (RFC 9110): the tag of a stored version, the tag of
// something computed, and the two headers that compare them, If-Match and If-None-Match.
//
// The package does not decide which requests must name a version, nor when 304 is answered: package
// middleware does. The store decides whether a version is still the present one.
package etag
