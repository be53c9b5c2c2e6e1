package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/bot/telegram/apiserver"
)

// TestDoctorLooksAtTheChat: what is wrong is said with what to do about it, and
// the token is not.
func TestDoctorLooksAtTheChat(t *testing.T) {
	api := apiserver.New()
	defer api.Close()
	db := house(t)
	_, _, code := yardbell(t, "", "say", "--db", db, "note founded")
	require.Zero(t, code)
	t.Setenv("YARDBELL_TOKEN", api.Token)
	t.Setenv("YARDBELL_API_URL", api.HTTP.URL)
	api.Privacy = true
	out, errOut, code := yardbell(t, "", "doctor", "--db", db)
	require.Equal(t, exitFailed, code)
	require.Contains(t, out, "serves as @yardbell_test_bot")
	require.Contains(t, out, "choose Disable")
	require.Contains(t, out, "no group has joined yet")
	require.Contains(t, out, "agrees with the service's")
	require.NotContains(t, out+errOut, api.Token)

	t.Setenv("YARDBELL_TOKEN", "1:wrong")
	out, _, code = yardbell(t, "", "doctor", "--db", db)
	require.Equal(t, exitFailed, code)
	require.Contains(t, out, "get a token from BotFather")
}
