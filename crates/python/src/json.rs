//! Requests and answers as text.

use serde::de::DeserializeOwned;

use crate::refusal::Refusal;

/// What a request asks.
pub fn request<T: DeserializeOwned>(text: &str) -> Result<T, Refusal> {
    serde_json::from_str(text).map_err(|e| Refusal::usage(&e.to_string()))
}

/// An answer as text.
pub fn told(answer: &impl serde::Serialize) -> Result<String, Refusal> {
    serde_json::to_string(answer).map_err(|e| Refusal::compute(&e.to_string()))
}
