// Package e2e tries the pages as people use them: in a browser, on a phone
// without reception, with the server going away and coming back. It has no
// code, only tests.
//
// The tests need Chromium, some of them also axe-core, which "npm ci" puts beside
// them. Where these are not there the tests are passed over, except on the
// machine that decides whether a change is good (CI=true).
//
// Every page in every state is listed once, with how to come to it: to be checked
// against the rules of accessibility, and to be drawn for people to look at
// (-shots).
package e2e
