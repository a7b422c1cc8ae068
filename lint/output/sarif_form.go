package output

// The parts of SARIF 2.1.0 that are written, under the names of the standard. The
// numbers are its sections.

// 3.13
type sarifLog struct {
	Schema  string     `json:"$schema"`
	Version string     `json:"version"`
	Runs    []sarifRun `json:"runs"`
}

// 3.14
type sarifRun struct {
	Tool struct {
		Driver sarifDriver `json:"driver"`
	} `json:"tool"`
	Automation  *sarifAutomation     `json:"automationDetails,omitempty"`
	Invocations []sarifInvocation    `json:"invocations"`
	Bases       map[string]sarifBase `json:"originalUriBaseIds"`
	ColumnKind  string               `json:"columnKind"`
	Results     []sarifResult        `json:"results"`
}

// 3.14.14: a base need not say where it is
type sarifBase struct {
	Description sarifText `json:"description"`
}

// 3.17
type sarifAutomation struct {
	ID string `json:"id"`
}

// 3.19
type sarifDriver struct {
	Name    string      `json:"name"`
	Version string      `json:"version,omitempty"`
	Rules   []sarifRule `json:"rules"`
}

// 3.49
type sarifRule struct {
	ID      string        `json:"id"`
	Short   sarifText     `json:"shortDescription"`
	Full    sarifText     `json:"fullDescription"`
	Help    sarifHelp     `json:"help"`
	HelpURI string        `json:"helpUri,omitempty"`
	Default sarifDefault  `json:"defaultConfiguration"`
	More    sarifRuleMore `json:"properties"`
}

type sarifRuleMore struct {
	Since string `json:"since"`
}

// 3.50
type sarifDefault struct {
	Enabled bool   `json:"enabled"`
	Level   string `json:"level,omitempty"`
}

// 3.11 and 3.12
type sarifText struct {
	Text string `json:"text"`
}

type sarifHelp struct {
	Text     string `json:"text"`
	Markdown string `json:"markdown"`
}

// 3.20
type sarifInvocation struct {
	ExitCode      int                 `json:"exitCode"`
	Successful    bool                `json:"executionSuccessful"`
	Notifications []sarifNotification `json:"toolExecutionNotifications,omitempty"`
}

// 3.58
type sarifNotification struct {
	Level     string          `json:"level"`
	Message   sarifText       `json:"message"`
	Rule      sarifReference  `json:"associatedRule"`
	Locations []sarifLocation `json:"locations"`
}

// 3.52
type sarifReference struct {
	ID string `json:"id"`
}

// 3.27
type sarifResult struct {
	Rule      string            `json:"ruleId"`
	Index     *int              `json:"ruleIndex,omitempty"`
	Level     string            `json:"level"`
	Message   sarifText         `json:"message"`
	Locations []sarifLocation   `json:"locations"`
	Related   []sarifLocation   `json:"relatedLocations,omitempty"`
	Prints    map[string]string `json:"partialFingerprints"`
	Fixes     []sarifFix        `json:"fixes,omitempty"`
}

// 3.28
type sarifLocation struct {
	ID       *int           `json:"id,omitempty"`
	Physical sarifPhysical  `json:"physicalLocation"`
	Logical  []sarifLogical `json:"logicalLocations,omitempty"`
	Message  *sarifText     `json:"message,omitempty"`
}

// 3.29
type sarifPhysical struct {
	Artifact sarifArtifact `json:"artifactLocation"`
	Region   *sarifRegion  `json:"region,omitempty"`
}

// 3.4
type sarifArtifact struct {
	URI  string `json:"uri"`
	Base string `json:"uriBaseId,omitempty"`
}

// 3.30
type sarifRegion struct {
	StartLine   int        `json:"startLine"`
	StartColumn int        `json:"startColumn"`
	EndLine     int        `json:"endLine"`
	EndColumn   int        `json:"endColumn"`
	Snippet     *sarifText `json:"snippet,omitempty"`
}

// 3.33
type sarifLogical struct {
	Name string `json:"name"`
	Full string `json:"fullyQualifiedName"`
	Kind string `json:"kind"`
}

// 3.55 to 3.57
type sarifFix struct {
	Title   sarifText     `json:"description"`
	Changes []sarifChange `json:"artifactChanges"`
	More    sarifFixMore  `json:"properties"`
}

type sarifFixMore struct {
	Certain bool `json:"certain"` // right whatever was meant
}

type sarifChange struct {
	Artifact     sarifArtifact      `json:"artifactLocation"`
	Replacements []sarifReplacement `json:"replacements"`
}

type sarifReplacement struct {
	Deleted  sarifRegion `json:"deletedRegion"`
	Inserted *sarifText  `json:"insertedContent,omitempty"`
}
