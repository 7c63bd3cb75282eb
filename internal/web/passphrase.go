package web

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
)

// shortestPassphrase is in characters: with the limit on attempts, four random
// words or a dozen random letters are out of reach.
const shortestPassphrase = 12

// longestPassphrase bounds the work of one attempt.
const longestPassphrase = 1000

// cost is how hard a guess is made. RFC 9106, section 4, second recommended
// option: 3 passes over 64 MiB.
type cost struct {
	passes, kibibytes uint32
	lanes             uint8
}

var usualCost = cost{passes: 3, kibibytes: 64 << 10, lanes: 4}

const saltBytes, keyBytes = 16, 32

var errPassphrase = errors.New("this is not the passphrase")

// HashPassphrase returns what is kept of a passphrase: an Argon2id hash that
// carries its own salt and cost.
func HashPassphrase(text string) (string, error) {
	if n := utf8.RuneCountInString(text); n < shortestPassphrase {
		return "", fmt.Errorf("the passphrase has %d characters; %d are the least: four words that do not belong together do well", n, shortestPassphrase)
	}
	if len(text) > longestPassphrase {
		return "", fmt.Errorf("the passphrase is longer than %d letters", longestPassphrase)
	}
	return usualCost.hash(text)
}

func (c cost) hash(text string) (string, error) {
	salt := make([]byte, saltBytes)
	if _, err := rand.Read(salt); err != nil {
		return "", fmt.Errorf("no randomness: %w", err)
	}
	return c.write(salt, c.key(text, salt, keyBytes)), nil
}

func (c cost) key(text string, salt []byte, length uint32) []byte {
	return argon2.IDKey([]byte(text), salt, c.passes, c.kibibytes, c.lanes, length)
}

// hashForm is the usual way to write an Argon2 hash as text.
const hashForm = "$argon2id$v=%d$m=%d,t=%d,p=%d$"

func (c cost) write(salt, key []byte) string {
	code := base64.RawStdEncoding
	return fmt.Sprintf(hashForm, argon2.Version, c.kibibytes, c.passes, c.lanes) + code.EncodeToString(salt) + "$" + code.EncodeToString(key)
}

// checkPassphrase returns errPassphrase for another passphrase than the hashed
// one.
func checkPassphrase(hash, text string) error {
	c, salt, key, err := readHash(hash)
	if err != nil {
		return err
	}
	if subtle.ConstantTimeCompare(key, c.key(text, salt, uint32(len(key)))) != 1 {
		return errPassphrase
	}
	return nil
}

func readHash(hash string) (c cost, salt, key []byte, err error) {
	damaged := errors.New("the kept passphrase is damaged; set it again")
	parts := strings.Split(hash, "$")
	if len(parts) != 6 {
		return c, nil, nil, damaged
	}
	var version int
	if _, err := fmt.Sscanf(hash, hashForm, &version, &c.kibibytes, &c.passes, &c.lanes); err != nil || version != argon2.Version {
		return c, nil, nil, damaged
	}
	code := base64.RawStdEncoding
	salt, saltErr := code.DecodeString(parts[4])
	key, keyErr := code.DecodeString(parts[5])
	const mostKibibytes, mostPasses = 1 << 20, 100 // a damaged file must not eat the machine
	if saltErr != nil || keyErr != nil || len(salt) < 8 || len(key) < 16 || len(key) > 128 ||
		c.passes == 0 || c.passes > mostPasses || c.lanes == 0 || c.kibibytes > mostKibibytes {
		return c, nil, nil, damaged
	}
	return c, salt, key, nil
}
