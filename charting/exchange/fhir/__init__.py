"""The record of a person as HL7 FHIR R4 (4.0.1), one small file for each resource, and a person read back."""
