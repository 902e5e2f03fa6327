package money

import (
	"fmt"
	"strings"
)

// Currency is an ISO 4217 currency together with the number of decimals of its minor unit. Values
// come from [ParseCurrency] only and compare with ==. The zero Currency stands for no currency:
// nothing can be parsed, rounded or written in it.
type Currency struct {
	code     [3]byte
	decimals uint8
}

// The ISO 4217 list by number of decimals, from the open extract of list one at
// datasets/currency-codes (public domain): 17 codes without decimals, 7 with three, 2 with four, 13
// for which the standard states no minor unit (metals, units of account, testing), the rest with
// two. ISK and UGX have no decimals, which is often wrong elsewhere.
const (
	codes0    = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
	codes3    = "BHD IQD JOD KWD LYD OMR TND"
	codes4    = "CLF UYW"
	codesNone = "XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX"
	codes2    = "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF " +
		"CHE CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD " +
		"HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU " +
		"MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG " +
		"SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST " +
		"XAD XCD XCG YER ZAR ZMW ZWG"
)

const noMinorUnit = 255

var decimalsByCode = indexCodes()

func indexCodes() map[string]uint8 {
	index := make(map[string]uint8)
	for codes, decimals := range map[string]uint8{
		codes0: 0, codes2: 2, codes3: 3, codes4: 4, codesNone: noMinorUnit,
	} {
		for code := range strings.FieldsSeq(codes) {
			index[code] = decimals
		}
	}
	return index
}

// ParseCurrency returns the currency of a three-letter ISO 4217 code in capitals, and
// [*CurrencyError] for unknown codes and for codes without a minor unit (gold, testing codes).
func ParseCurrency(code string) (Currency, error) {
	decimals, known := decimalsByCode[code]
	if !known {
		return Currency{}, &CurrencyError{Code: clip(code), Reason: "must be an ISO 4217 code"}
	}
	if decimals == noMinorUnit {
		return Currency{}, &CurrencyError{
			Code: code, Reason: "must have a minor unit; ISO 4217 states none",
		}
	}
	return Currency{code: [3]byte([]byte(code)), decimals: decimals}, nil
}

// MustCurrency is [ParseCurrency] for codes written in the program; it panics if the code is
// refused.
func MustCurrency(code string) Currency {
	c, err := ParseCurrency(code)
	if err != nil {
		panic(err)
	}
	return c
}

// Code returns the three-letter code, or "" for the zero Currency.
func (c Currency) Code() string {
	if c.IsZero() {
		return ""
	}
	return string(c.code[:])
}

// String returns the code.
func (c Currency) String() string { return c.Code() }

// Decimals returns the number of decimals of an amount in the currency: 0, 2, 3 or 4.
func (c Currency) Decimals() int32 { return int32(c.decimals) }

// IsZero reports whether c is the zero Currency.
func (c Currency) IsZero() bool { return c == Currency{} }

// MarshalText returns the code, and [*CurrencyError] for the zero Currency.
func (c Currency) MarshalText() ([]byte, error) {
	if c.IsZero() {
		return nil, &CurrencyError{Reason: "no currency"}
	}
	return c.code[:], nil
}

// UnmarshalText reads a code as [ParseCurrency] does.
func (c *Currency) UnmarshalText(text []byte) error {
	parsed, err := ParseCurrency(string(text))
	if err != nil {
		return err
	}
	*c = parsed
	return nil
}

// CurrencyError says why a currency code was refused.
type CurrencyError struct {
	Code   string
	Reason string
}

// Error names the code and the reason.
func (e *CurrencyError) Error() string { return fmt.Sprintf("currency %q: %s", e.Code, e.Reason) }
