//go:build long

package bucket

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/Azure/azure-sdk-for-go/sdk/storage/azblob/container"

	"rimelog/pipeline/store/bucket/servertest"
)

// The name and key of the account that the emulator knows, as its manual prints them.
const (
	emulatedAccount = "devstoreaccount1"
	emulatedKey     = "Eby8vdM02xNOcqFlqUwJPLlmEtlCDXJ1OUzFT50uSRZ6IFsuFq2UVErCz4I6tq/K1SZFPTOtr/KBHBeksoGMGw=="
)

func TestAzblobKeepsTheContract(t *testing.T) {
	address := servertest.Start(t, "../../../.cache/azurite/node_modules/.bin/azurite-blob", func(host, port string) []string {
		return []string{"--blobHost", host, "--blobPort", port, "--location", t.TempDir(), "--silent", "--skipApiVersionCheck"}
	})
	t.Setenv("AZURE_STORAGE_ACCOUNT", emulatedAccount)
	t.Setenv("AZURE_STORAGE_KEY", emulatedKey)
	url := "azblob://rime?protocol=http&domain=" + address + "&localemu=true"
	key, err := container.NewSharedKeyCredential(emulatedAccount, emulatedKey)
	if err != nil {
		t.Fatal(err)
	}
	c, err := container.NewClientWithSharedKeyCredential("http://"+address+"/"+emulatedAccount+"/rime", key, nil)
	if err == nil {
		_, err = c.Create(t.Context(), nil)
	}
	if err != nil {
		t.Fatal(err)
	}
	emulated(t, url)
	refused(t, strings.Replace(url, "rime", "nowhere", 1))
}

func TestGsKeepsTheContract(t *testing.T) {
	data := t.TempDir()
	if err := os.Mkdir(filepath.Join(data, "rime"), 0o755); err != nil {
		t.Fatal(err)
	}
	address := servertest.Start(t, "../../../.cache/bin/fake-gcs-server", func(host, port string) []string {
		return []string{"-scheme", "http", "-host", host, "-port", port, "-backend", "memory", "-data", data, "-public-host", host + ":" + port}
	})
	t.Setenv("STORAGE_EMULATOR_HOST", address)
	emulated(t, "gs://rime")
	refused(t, "gs://nowhere")
}

func emulated(t *testing.T, url string) {
	t.Helper()
	b, err := Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	contract(t, b)
	t.Run("large objects", func(t *testing.T) { largeObjects(t, b) })
}

func refused(t *testing.T, url string) {
	t.Helper()
	if _, err := Open(t.Context(), url); err == nil {
		t.Errorf("%s was opened, and is not there", url)
	}
}
