// Package domaintest holds what tests of several rooms share: pianos, survey sheets, scopes and
// networks made in one line each. Only tests import it.
package domaintest
