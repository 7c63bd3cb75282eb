package care_test
