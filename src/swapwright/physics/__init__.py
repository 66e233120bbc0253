"""Laws of nature as plain functions of arrays; knows no vehicles."""
